import type { BenchFilter } from '../../../shared/page-routes.ts';
import type { PlaceSummary } from '../../../shared/wire/http.ts';

/** Every bench. */
export const NO_FILTER: BenchFilter = { zone: null, state: null, crop: null };
/** Stands for places without a zone. */
export const NO_ZONE = '-';

/** Crops that stand at places now, by the id of the place. */
export type Crops = Readonly<Record<string, readonly string[]>>;
type Filtered = Pick<PlaceSummary, 'id' | 'settings' | 'now'>;

const byName = (a: string, b: string) => a.localeCompare(b, 'en', { numeric: true });

/** The address of the benches that a filter leaves, so that a link keeps it. */
export function benchesHref(filter: BenchFilter): string {
  const asked = Object.entries(filter).filter(([, value]) => value !== null);
  if (asked.length === 0) return '#/';
  return `#/?${new URLSearchParams(asked.map(([name, value]) => [name, String(value)]))}`;
}

/** The places that a filter leaves, in their order. */
export function filtered<T extends Filtered>(
  places: readonly T[],
  { zone, state, crop }: BenchFilter,
  crops: Crops,
): T[] {
  return places.filter(
    ({ id, settings, now }) =>
      (zone === null || (settings.zone ?? NO_ZONE) === zone) &&
      (state === null || now.state === state) &&
      (crop === null || (crops[id] ?? []).includes(crop)),
  );
}

type Choices = { readonly zones: readonly string[]; readonly crops: readonly string[] };

/** What can be chosen: zones and crops of which there are several, or one that is asked for. */
export function choicesOf(places: readonly Filtered[], crops: Crops, filter: BenchFilter): Choices {
  const zones = new Set(places.map(({ settings }) => settings.zone ?? NO_ZONE));
  const grown = new Set(places.flatMap(({ id }) => crops[id] ?? []));
  const listed = (found: ReadonlySet<string>, asked: string | null, least: number) => {
    const all = asked === null ? found : new Set([...found, asked]);
    if (asked === null && found.size < least) return [];
    return [...all].sort((a, b) => Number(a === NO_ZONE) - Number(b === NO_ZONE) || byName(a, b));
  };
  return { zones: listed(zones, filter.zone, 2), crops: listed(grown, filter.crop, 1) };
}
