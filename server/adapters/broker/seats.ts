import { createPlaces } from '../../domain/limits/places.ts';
import type { Limits } from '../../domain/limits/table.ts';

/** Who has logged in and asks for a place. */
type Seated<T> = {
  readonly client: T;
  /** the device whose own secret it came with, or null */
  readonly device: string | null;
  readonly address: string;
};

/**
 * The places of clients that have logged in. Clients without a login of their own have a part of them, in all and an
 * address; the rest is kept for devices that prove who they are, so nobody else can shut them out.
 */
export function createSeats<T>(limits: Limits) {
  const shared = createPlaces<T>(
    { inAll: limits.mqttSharedClientsInAll, perAddress: limits.mqttSharedClientsPerAddress },
    () => false,
  );
  const own = new Map<string, T[]>();
  const deviceOf = new Map<T, string>();
  const leave = (client: T) => {
    shared.leave(client);
    const device = deviceOf.get(client);
    if (device === undefined) return;
    deviceOf.delete(client);
    const left = (own.get(device) ?? []).filter((other) => other !== client);
    if (left.length === 0) own.delete(device);
    else own.set(device, left);
  };
  const takeOwn = (client: T, device: string): T | null => {
    const mates = own.get(device) ?? [];
    const over = mates.length >= limits.mqttConnectionsPerDevice ? (mates[0] ?? null) : null;
    if (over !== null) leave(over);
    own.set(device, [...(own.get(device) ?? []), client]);
    deviceOf.set(client, device);
    return over;
  };
  const isFull = () => shared.count() + deviceOf.size >= limits.mqttClientsInAll;
  return {
    /** @returns who must go for it, as its device has too many connections; null when there is no place */
    take({ client, device, address }: Seated<T>): { readonly evicted: T | null } | null {
      if (device === null) return isFull() ? null : shared.take(client, address);
      const crowded = (own.get(device)?.length ?? 0) >= limits.mqttConnectionsPerDevice;
      return isFull() && !crowded ? null : { evicted: takeOwn(client, device) };
    },
    leave,
  };
}
