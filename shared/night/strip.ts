import type { BandSpan, NightRow } from '../wire/http.ts';
import { EXCURSION_NAMES } from '../words/night-row.ts';

/** The span an axis stands for, ms since epoch. */
type View = { readonly fromMs: number; readonly toMs: number };

export const LANES = ['air', 'leaf', 'rootZone'] as const;
type Lane = (typeof LANES)[number];

/** A stretch of the axis, in percent of the night. */
export type Part = { readonly from: number; readonly width: number };
/** Something beyond its limit; `mean` is how far on average, K or kPa; null where it is not measured so. */
export type Block = Part & {
  readonly lane: Lane;
  readonly side: 'above' | 'below';
  readonly mean: number | null;
};
export type Strip = {
  readonly nights: readonly Part[];
  /** nothing was read */
  readonly holes: readonly Part[];
  readonly blocks: readonly Block[];
};

/** Thinner ones could not be seen, percent. */
const LEAST_WIDTH = 0.3;

/** Where a moment lies on the axis, percent. */
export function percentAt(tMs: number, { fromMs, toMs }: View): number {
  return Math.min(100, Math.max(0, ((tMs - fromMs) / (toMs - fromMs)) * 100));
}

function partOf(one: { readonly from: string; readonly to: string | null }, view: View): Part {
  const from = percentAt(Date.parse(one.from), view);
  const to = one.to === null ? 100 : percentAt(Date.parse(one.to), view);
  return { from, width: to - from };
}

/** What is drawn of a row: its nights, its holes, and what was beyond its limits. */
export function stripOf(row: Pick<NightRow, 'excursions' | 'bands' | 'coverage'>, view: View): Strip {
  const holes = row.coverage === 0 ? [{ from: 0, width: 100 }] : holesOf(row, view);
  const blocks = row.excursions.flatMap((one): Block[] => {
    const { layer, side } = EXCURSION_NAMES[one.kind];
    if (layer === null || side === null) return [];
    const { from, width } = partOf(one, view);
    const wide = Math.max(LEAST_WIDTH, width);
    const mean = one.dose === null || one.overLimitHours === 0 ? null : one.dose / one.overLimitHours;
    return [{ lane: layer, side, mean, from: Math.min(from, 100 - wide), width: wide }];
  });
  return { nights: nightsOf(row.bands, view), holes, blocks };
}

function holesOf({ excursions }: Pick<NightRow, 'excursions'>, view: View): Part[] {
  return excursions
    .filter(({ kind }) => kind === 'no-data')
    .map((one) => partOf(one, view))
    .filter(({ width }) => width > 0);
}

function nightsOf(bands: readonly BandSpan[], view: View): Part[] {
  const nights: Part[] = [];
  for (const part of bands.filter(({ night }) => night).map((one) => partOf(one, view))) {
    const last = nights.at(-1);
    if (last && part.from - (last.from + last.width) < 0.01)
      nights[nights.length - 1] = { from: last.from, width: part.from + part.width - last.from };
    else nights.push(part);
  }
  return nights;
}

/** The hatched area of a row in full is its dose, at one scale in every row, px. */
const PX_PER_K = 3;
const PX_PER_KPA = 40;
/** Of what has no dose. */
const PLAIN_PX = 7;
const LEAST_PX = 3;
const MOST_PX = 48;
const RIBBON_PX: Readonly<Record<Lane, number>> = { air: 8, leaf: 4, rootZone: 8 };
const APART_PX = 5;

/** How far a block reaches from its ribbon in a row in full, px. */
export function reachPx({ lane, mean }: Pick<Block, 'lane' | 'mean'>): number {
  if (mean === null) return PLAIN_PX;
  return Math.min(MOST_PX, Math.max(LEAST_PX, mean * (lane === 'leaf' ? PX_PER_KPA : PX_PER_K)));
}

export type Ribbon = { readonly lane: Lane; readonly y: number; readonly heightPx: number };
export type Layout = { readonly ribbons: readonly Ribbon[]; readonly heightPx: number };

/** Ribbons of a row in full, so far apart that no block touches the next ribbon. */
export function fullLayout(blocks: readonly Block[]): Layout {
  let y = APART_PX;
  const ribbons = LANES.map((lane) => {
    const reach = (side: Block['side']) =>
      Math.max(0, ...blocks.filter((one) => one.lane === lane && one.side === side).map(reachPx));
    const ribbon = { lane, y: y + reach('above'), heightPx: RIBBON_PX[lane] };
    y = ribbon.y + ribbon.heightPx + reach('below') + APART_PX;
    return ribbon;
  });
  return { ribbons, heightPx: Math.ceil(y) };
}

/** Ribbons of a row of one line. */
export const LINE_LAYOUT: Layout = {
  heightPx: 22,
  ribbons: [
    { lane: 'air', y: 2, heightPx: 7 },
    { lane: 'leaf', y: 10, heightPx: 3 },
    { lane: 'rootZone', y: 14, heightPx: 7 },
  ],
};
