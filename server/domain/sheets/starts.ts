import firstContact from '../../../seeds/targets/first-contact.json' with { type: 'json' };
import general from '../../../seeds/targets/general-herbaceous-bottom-heat.json' with { type: 'json' };
import written from '../../../seeds/targets/starts.json' with { type: 'json' };
import { leavesOf } from '../../../shared/model/cuttings/sheet.ts';
import { type StartSeed, startSeedSchema } from '../../../shared/model/cuttings/sheet-seed.ts';

type Sourced = { readonly sources: Readonly<Record<string, string | undefined>> };

/**
 * What sheets begin from: those written down, and the figures of a first contact, which so stand in one place: the
 * general sheet as `bench rule`, and what is known of each kind of cutting as `roots:<kind>`.
 */
export function sheetStarts(): ReadonlyMap<string, StartSeed> {
  const kinds = Object.entries(firstContact.roots).map(([roots, { rootZone, sources, ...rest }]) =>
    startOf(`roots:${roots}`, { rootZone: { day: rootZone, night: rootZone }, ...rest }, sources),
  );
  const starts = [
    ...startSeedSchema.array().parse(written),
    startOf('bench rule', general.targets, general.sources),
    ...kinds,
  ];
  return new Map(starts.map((start) => [start.id, start]));
}

function startOf(id: string, figures: object, sources: Sourced['sources']): StartSeed {
  const stated = leavesOf(figures).map(([path, value]): [string, [unknown, string]] => [
    path,
    [value, sourceOf(path, sources)],
  ]);
  return { id, from: [], stages: { sticking: Object.fromEntries(stated) } };
}

/** The source of a figure, or the nearest of the groups it stands in. */
function sourceOf(path: string, sources: Sourced['sources']): string {
  for (let at = path; at !== ''; at = at.slice(0, Math.max(0, at.lastIndexOf('.')))) {
    const source = sources[at];
    if (source !== undefined) return source;
  }
  throw new RangeError(`no source of ${path}`);
}
