import type { Client, PublishPacket } from 'aedes';
import type { Limits } from '../../domain/limits/table.ts';
import { createFilters } from './filters.ts';

type SubscribersDeps = {
  readonly limits: Limits;
  readonly connected: ReadonlyMap<string, Client>;
  readonly stays: (client: Client | null) => boolean;
  readonly maySubscribe: (client: Client | null, filter: string) => boolean;
  readonly cutOff: (client: Client) => void;
  readonly turnedAway: (
    client: Client,
    why: 'subscription' | 'reads-too-slowly',
    topic: string | null,
  ) => void;
};

/** What goes out to clients: bounded subscriptions, and bounded bytes that wait for who reads slowly. */
export function openSubscribers(deps: SubscribersDeps) {
  const { limits, connected, stays, maySubscribe, turnedAway } = deps;
  const filters = createFilters<Client>(limits);
  const cutOffSlow = (client: Client) => {
    turnedAway(client, 'reads-too-slowly', null);
    deps.cutOff(client);
  };
  return {
    reach: filters.reach,
    gone: filters.left,
    maySubscribe(client: Client | null, filter: string): boolean {
      if (client === null || !maySubscribe(client, filter)) return client === null;
      if (filters.add(client, filter)) return true;
      turnedAway(client, 'subscription', filter);
      return false;
    },
    unsubscribed: (topics: readonly string[], client: Client) => filters.remove(client, topics),
    /** Whether a message goes out to a client; one that reads too slowly is cut off before it holds up the others. */
    maySend(client: Client, { retain }: Pick<PublishPacket, 'retain'>): boolean {
      if (!stays(client)) return false;
      const { conn } = client;
      const isSlow = conn.writableLength > limits.mqttUnsentHardBytes || (!retain && conn.writableNeedDrain);
      if (isSlow) cutOffSlow(client);
      return !isSlow;
    },
    /** Cuts off who reads slowest while too much waits for all. */
    cutOffSlow() {
      const slowest = [...connected.values()].toSorted(
        (a, b) => b.conn.writableLength - a.conn.writableLength,
      );
      let unsent = slowest.reduce((sum, { conn }) => sum + conn.writableLength, 0);
      for (const client of slowest) {
        if (unsent <= limits.mqttUnsentInAllBytes) return;
        unsent -= client.conn.writableLength;
        cutOffSlow(client);
      }
    },
  };
}
