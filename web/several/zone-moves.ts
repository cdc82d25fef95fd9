import type { PlaceSummary } from '../../shared/wire/http.ts';

/** Zones that places are moved to, by their ids; null is none. */
export type ZoneMoves = Readonly<Record<string, string | null>>;

type Placed = Pick<PlaceSummary, 'id' | 'name'> & {
  readonly settings: Pick<PlaceSummary['settings'], 'zone'>;
};
type ZoneOf<T> = { readonly zone: string | null; readonly places: readonly T[] };

const byName = (a: string, b: string) => a.localeCompare(b, 'en', { numeric: true });

/**
 * Places by zone as they stand after the moves, by name; those without a zone first, as they are to be moved.
 * @param added zones that nobody is in yet
 */
export function boardOf<T extends Placed>(
  places: readonly T[],
  moves: ZoneMoves,
  added: readonly string[],
): ZoneOf<T>[] {
  const zoneOf = ({ id, settings }: T) => (id in moves ? (moves[id] ?? null) : settings.zone);
  // a zone that all were moved out of stays, so that they can be moved back
  const known = [...places.map(({ settings }) => settings.zone), ...places.map(zoneOf), ...added];
  const named = [...new Set(known)].filter((zone) => zone !== null).sort(byName);
  return [null, ...named].map((zone) => ({
    zone,
    places: places.filter((place) => zoneOf(place) === zone).sort((a, b) => byName(a.name, b.name)),
  }));
}

/** The zone so many further on than that of a place; undefined beyond the first and the last. */
export function movedBy(
  zones: readonly ZoneOf<Placed>[],
  placeId: string,
  by: number,
): string | null | undefined {
  const at = zones.findIndex(({ places }) => places.some(({ id }) => id === placeId));
  return at < 0 ? undefined : zones[at + by]?.zone;
}
