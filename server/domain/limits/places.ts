import { addressGroup } from '../access/address.ts';

type PlacesOptions = {
  readonly inAll: number;
  readonly perAddress: number;
  /** whether only the limit in all counts for an address, such as that of a trusted proxy */
  readonly isExempt?: (address: string) => boolean;
};

type Places<T> = {
  count(): number;
  /**
   * Gives a place, if need be that of the one who has waited longest: of the same address when that has all it may
   * have, else of the address that holds most.
   * @returns who must go for it; null when there is no place and nobody may be asked to go
   */
  take(newcomer: T, address: string): { readonly evicted: T | null } | null;
  leave(one: T): void;
};

/**
 * Counted places in the order in which they were taken. A flood of newcomers that do nothing pushes itself out, and
 * who does what it came for in time is served.
 * @param mayGo whether a holder may be asked to go for a newcomer
 */
export function createPlaces<T>(options: PlacesOptions, mayGo: (one: T) => boolean): Places<T> {
  const groups = new Map<string, Set<T>>();
  const groupOf = new Map<T, string>();
  const leave = (one: T) => {
    const group = groupOf.get(one);
    if (group === undefined) return;
    groupOf.delete(one);
    const held = groups.get(group);
    held?.delete(one);
    if (held?.size === 0) groups.delete(group);
  };
  const oldest = (held: Iterable<T>): T | null => {
    for (const one of held) if (mayGo(one)) return one;
    return null;
  };
  const largestFirst = () => [...groups.values()].toSorted((a, b) => b.size - a.size);
  const longestInAll = () => {
    for (const held of largestFirst()) {
      const one = oldest(held);
      if (one !== null) return one;
    }
    return null;
  };
  const whoGoes = (group: string, address: string): T | null | 'nobody' => {
    const held = groups.get(group) ?? new Set<T>();
    const crowded = held.size >= options.perAddress && options.isExempt?.(address) !== true;
    if (crowded) return oldest(held) ?? 'nobody';
    return groupOf.size >= options.inAll ? (longestInAll() ?? 'nobody') : null;
  };
  return {
    count: () => groupOf.size,
    take(newcomer, address) {
      const group = addressGroup(address);
      const evicted = whoGoes(group, address);
      if (evicted === 'nobody') return null;
      if (evicted !== null) leave(evicted);
      groups.set(group, (groups.get(group) ?? new Set<T>()).add(newcomer));
      groupOf.set(newcomer, group);
      return { evicted };
    },
    leave,
  };
}
