import { DISEASE_WETNESS } from '../../../shared/climate/wet-hours.ts';
import type { Sums } from '../../../shared/exposure/sums.ts';
import { HARM_KINDS, type Harm } from '../../../shared/harm/scale.ts';

/**
 * Raised whenever a formula changes, so that sums made by an older one are made again. Those settled for good stay
 * as the older made them: whoever raises it must still read them.
 */
export const SUMS_VERSION = 3;

/** What is summed with the times below, within and above some limits. */
const GROUPS = [
  'rootZone',
  'air',
  'ceiling',
  'vpd',
  'saturation',
  'light',
  'leafVpd',
  'daylightVpd',
  'rootMinusAir',
  'condensation',
] as const;
export type Group = (typeof GROUPS)[number];

/** Wet time in one published condition; runs at the ends are kept so that hours can be joined. */
export type WetSums = {
  readonly spanMs: number;
  readonly coveredMs: number;
  readonly heldMs: number;
  readonly longestMs: number;
  readonly firstMs: number;
  readonly lastMs: number;
};

export const WET_CONDITIONS = Object.keys(DISEASE_WETNESS);

const FIELDS = [
  'coveredMs',
  'belowMs',
  'withinMs',
  'aboveMs',
  'area',
  'areaBelow',
  'areaAbove',
  'min',
  'max',
] as const;
const WET_FIELDS = ['spanMs', 'coveredMs', 'heldMs', 'longestMs', 'firstMs', 'lastMs'] as const;
const WET_AT = GROUPS.length * FIELDS.length;
const HARM_AT = WET_AT + WET_CONDITIONS.length * WET_FIELDS.length;
/** Sums made before harm was counted end where it begins. */
const LENGTH = HARM_AT + HARM_KINDS.length;

/**
 * All that the exposures of a stretch of time are made of, as plain numbers: sums of stretches that follow each
 * other add up to the sums of the whole.
 */
export type HourSums = Float64Array;

/** The sums of no time at all. */
export function noSums(): HourSums {
  const sums = new Float64Array(LENGTH);
  for (let group = 0; group < GROUPS.length; group++) {
    sums[group * FIELDS.length + 7] = Number.POSITIVE_INFINITY;
    sums[group * FIELDS.length + 8] = Number.NEGATIVE_INFINITY;
  }
  return sums;
}

/** Adds the sums of the stretch that follows. */
export function addSums(total: HourSums, next: HourSums): void {
  for (let at = 0; at < WET_AT; at += FIELDS.length) {
    for (let i = at; i < at + 7; i++) total[i] = (total[i] as number) + (next[i] as number);
    total[at + 7] = Math.min(total[at + 7] as number, next[at + 7] as number);
    total[at + 8] = Math.max(total[at + 8] as number, next[at + 8] as number);
  }
  for (let at = WET_AT; at < HARM_AT; at += WET_FIELDS.length) joinWet(total, next, at);
  for (let at = HARM_AT; at < LENGTH; at++) total[at] = (total[at] as number) + (next[at] ?? Number.NaN);
}

/** The sums of a stretch in which nothing was read, ms long. */
export function sumsOfNothing(spanMs: number): HourSums {
  const sums = noSums();
  for (let at = WET_AT; at < HARM_AT; at += WET_FIELDS.length) sums[at] = spanMs;
  return sums;
}

/** Joins the runs of wet time that meet where the one stretch ends and the other begins. */
function joinWet(total: HourSums, next: HourSums, at: number): void {
  const spanMs = total[at] as number;
  const firstMs = total[at + 4] as number;
  const lastMs = total[at + 5] as number;
  const nextSpanMs = next[at] as number;
  const nextFirstMs = next[at + 4] as number;
  const nextLastMs = next[at + 5] as number;
  const longest = Math.max(total[at + 3] as number, next[at + 3] as number, lastMs + nextFirstMs);
  total[at] = spanMs + nextSpanMs;
  total[at + 1] = (total[at + 1] as number) + (next[at + 1] as number);
  total[at + 2] = (total[at + 2] as number) + (next[at + 2] as number);
  total[at + 3] = longest;
  total[at + 4] = firstMs === spanMs ? spanMs + nextFirstMs : firstMs;
  total[at + 5] = nextLastMs === nextSpanMs ? lastMs + nextSpanMs : nextLastMs;
}

/** False for a stretch in which nothing was covered: it is not worth keeping. */
export function hasAnything(sums: HourSums): boolean {
  for (let at = 0; at < WET_AT; at += FIELDS.length) if (sums[at] !== 0) return true;
  return false;
}

const LIGHT_AT = GROUPS.indexOf('light') * FIELDS.length;

/** What of the light a day's figures are made of. */
export function lightOf(sums: HourSums): Pick<Sums, 'area' | 'coveredMs' | 'withinMs'> {
  return {
    coveredMs: sums[LIGHT_AT] as number,
    withinMs: sums[LIGHT_AT + 2] as number,
    area: sums[LIGHT_AT + 4] as number,
  };
}

export function groupOf(sums: HourSums, group: Group): Sums {
  const at = GROUPS.indexOf(group) * FIELDS.length;
  return Object.fromEntries(FIELDS.map((field, i) => [field, sums[at + i]])) as Sums;
}

export function putGroup(sums: HourSums, group: Group, of: Sums): void {
  const at = GROUPS.indexOf(group) * FIELDS.length;
  FIELDS.forEach((field, i) => {
    sums[at + i] = of[field];
  });
}

/** Wet time in the condition of that place in WET_CONDITIONS. */
export function wetOf(sums: HourSums, condition: number): WetSums {
  const at = WET_AT + condition * WET_FIELDS.length;
  return {
    spanMs: sums[at] as number,
    coveredMs: sums[at + 1] as number,
    heldMs: sums[at + 2] as number,
    longestMs: sums[at + 3] as number,
    firstMs: sums[at + 4] as number,
    lastMs: sums[at + 5] as number,
  };
}

export function putWet(sums: HourSums, condition: number, wet: WetSums): void {
  const at = WET_AT + condition * WET_FIELDS.length;
  sums[at] = wet.spanMs;
  sums[at + 1] = wet.coveredMs;
  sums[at + 2] = wet.heldMs;
  sums[at + 3] = wet.longestMs;
  sums[at + 4] = wet.firstMs;
  sums[at + 5] = wet.lastMs;
}

/** Harm by kind; null where a part of it was settled before harm was counted. */
export function harmOf(sums: HourSums): Harm | null {
  const entries = HARM_KINDS.map((kind, i) => [kind, sums[HARM_AT + i] as number] as const);
  if (entries.some(([, harm]) => Number.isNaN(harm))) return null;
  return Object.fromEntries(entries) as Record<(typeof HARM_KINDS)[number], number>;
}

export function putHarm(sums: HourSums, harm: Harm): void {
  HARM_KINDS.forEach((kind, i) => {
    sums[HARM_AT + i] = harm[kind];
  });
}
