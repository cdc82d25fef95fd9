import {
  leavesOf,
  type Sheet,
  STAGE_IDS,
  STAGES,
  sheetSchema,
} from '../../../shared/model/cuttings/sheet.ts';
import type {
  Bibliography,
  SheetSeed,
  StartSeed,
  Stated,
} from '../../../shared/model/cuttings/sheet-seed.ts';

/** What a figure says of itself where no paper stands behind it. */
export const PLAIN_SOURCES: readonly string[] = ['default, adjust', 'common practice, no source'];

type Figures = Map<string, { readonly value: unknown; readonly source: string }>;
type Starts = ReadonlyMap<string, StartSeed>;

/**
 * A shipped sheet with every figure of every stage and the source of each.
 * A stage has what its start and the sheet itself state for it, the sheet's own over its start's, and all else as in
 * the stage before. Expected days are never taken from the stage before.
 * @throws when the seed is at fault: a path, key or figure that does not fit; nothing from outside comes here
 */
export function expandSheet(seed: SheetSeed, starts: Starts, bibliography: Bibliography): Sheet {
  const chain = chainOf(seed, starts);
  const figures: Figures = new Map();
  const sources: Record<string, string> = {};
  const stages = STAGE_IDS.map((id) => {
    leave(figures, 'days');
    for (const { stages: stated } of chain) state(figures, stated[id] ?? {});
    for (const [path, { source }] of figures) sources[`${id}.${path}`] = sourceText(source, bibliography);
    const { days = null, ...targets } = treeOf(figures);
    return { id, name: STAGES[id], days, targets };
  });
  const { from: _from, stages: _stages, ...named } = seed;
  return sheetSchema.parse({ ...named, own: false, stages, sources });
}

/** From the furthest start to the seed itself; each start once. */
function chainOf(seed: SheetSeed, starts: Starts): readonly Pick<StartSeed, 'stages'>[] {
  const chain = new Set<Pick<StartSeed, 'stages'>>();
  const add = (id: string, below: readonly string[]): void => {
    const start = starts.get(id);
    if (!start || below.includes(id)) throw new RangeError(`${seed.id}: no way from ${id}`);
    for (const from of start.from) add(from, [...below, id]);
    chain.add(start);
  };
  for (const from of seed.from) add(from, []);
  return [...chain, seed];
}

function state(figures: Figures, stated: Stated): void {
  for (const [path, entry] of Object.entries(stated).flatMap(([joined, entry]) => spread(joined, entry))) {
    leave(figures, path);
    if (entry === null) continue;
    const [value, source] = entry;
    for (const [leaf, figure] of leavesOf(value, path)) figures.set(leaf, { value: figure, source });
  }
}

/** `rootZone.day+night` is `rootZone.day` and `rootZone.night`. */
function spread<T>(joined: string, entry: T): [string, T][] {
  let paths = [''];
  for (const part of joined.split('.'))
    paths = paths.flatMap((path) => part.split('+').map((name) => (path === '' ? name : `${path}.${name}`)));
  return paths.map((path) => [path, entry]);
}

function leave(figures: Figures, path: string): void {
  for (const leaf of figures.keys()) if (leaf === path || leaf.startsWith(`${path}.`)) figures.delete(leaf);
}

function treeOf(figures: Figures): Record<string, unknown> {
  const tree: Record<string, unknown> = {};
  for (const [path, { value }] of figures) {
    const parts = path.split('.');
    const name = parts.pop() as string;
    let at = tree;
    for (const part of parts) {
      at[part] ??= {};
      at = at[part] as Record<string, unknown>;
    }
    at[name] = value;
  }
  return tree;
}

function sourceText(source: string, bibliography: Bibliography): string {
  if (PLAIN_SOURCES.some((plain) => source === plain || source.startsWith(`${plain}: `))) return source;
  const [, key = '', note] = /^([A-Za-z0-9]+)(?:: (.+))?$/.exec(source) ?? [];
  const entry = bibliography[key];
  if (!entry) throw new RangeError(`no source ${source}`);
  const read = entry.seen === 'whole' ? 'seen' : `${entry.seen} seen`;
  return `${key}: ${entry.cite} (${read})${note ? `; ${note}` : ''}`;
}
