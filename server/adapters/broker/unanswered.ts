import type { Client } from 'aedes';
import type { Clock, Timers } from '../../ports.ts';

/** Clients cut off at one time, and how often, ms: so that all of them do not come back at once. */
const [AT_ONE_TIME, EVERY_MS] = [20, 250];
/** Who sends one message at a time would wait for ever for its acknowledgement; cut off, it goes on with its next, ms. */
const WAITS_MS = 30_000;

type Deps = {
  readonly cutOff: (client: Client) => void;
  readonly clock: Clock;
  readonly every: Timers['every'];
};

export type Unanswered = ReturnType<typeof openUnanswered>;

/**
 * Clients that wait for an acknowledgement the record could not give. They stay connected for half a minute, and are
 * cut off then, or once the record can be written: only with a new connection is sent again what was not acknowledged.
 */
export function openUnanswered({ cutOff, clock, every }: Deps) {
  const waiting = new Map<Client, number>();
  let writable = true;
  const stop = every(EVERY_MS, () => {
    const untilMs = writable ? Number.POSITIVE_INFINITY : clock.nowMs() - WAITS_MS;
    const due = [...waiting].filter(([, sinceMs]) => sinceMs <= untilMs).slice(0, AT_ONE_TIME);
    for (const [client] of due) {
      waiting.delete(client);
      cutOff(client);
    }
  });
  return {
    add(client: Client | null) {
      if (client !== null && !client.closed && !waiting.has(client)) waiting.set(client, clock.nowMs());
    },
    left: (client: Client) => void waiting.delete(client),
    recordWritable(now: boolean) {
      writable = now;
    },
    stop,
  };
}
