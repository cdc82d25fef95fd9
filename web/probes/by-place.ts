import type { PlaceSummary } from '../../shared/wire/http.ts';
import type { ProbeRow } from './named.ts';

/** Where no place says otherwise, ms. */
const USUAL_GAP_MS = 900_000;

type Place = Pick<PlaceSummary, 'id' | 'name' | 'settings'>;
type Reading = Pick<ProbeRow, 'placeId' | 'latest'>;

/** Whether a probe has not reported for longer than readings of its place may be apart, or never did. */
export function isSilent({ latest }: Reading, place: Place | undefined, nowMs: number): boolean {
  return latest === null || nowMs - latest.tMs > (place?.settings.maxGapMs ?? USUAL_GAP_MS);
}

type Group<T> = {
  readonly placeId: string | null;
  /** null: assigned to no place that is known */
  readonly name: string | null;
  readonly probes: readonly T[];
  /** how many do not report */
  readonly silent: number;
};

/** Probes by the place they are assigned to: those with a silent one first, then by name, unassigned ones last. */
export function probesByPlace<T extends Reading>(
  probes: readonly T[],
  places: readonly Place[],
  nowMs: number,
): Group<T>[] {
  const groups = [...Map.groupBy(probes, ({ placeId }) => placeId)].map(([placeId, some]): Group<T> => {
    const place = places.find(({ id }) => id === placeId);
    const silent = some.filter((probe) => isSilent(probe, place, nowMs)).length;
    return { placeId, name: place?.name ?? null, probes: some, silent };
  });
  return groups.sort(
    (a, b) =>
      Number(a.name === null) - Number(b.name === null) ||
      Number(b.silent > 0) - Number(a.silent > 0) ||
      (a.name ?? '').localeCompare(b.name ?? '', 'en', { numeric: true }),
  );
}
