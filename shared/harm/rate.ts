import { FROST, HARM_SCALE, type HarmConstants, type HarmKind } from './scale.ts';

/** How fast harm grows beyond a limit. */
export type HarmRate = {
  /** the mean along a straight line from one distance beyond the limit to another, neither side of a bend; 1/h */
  readonly mean: (fromX: number, toX: number) => number;
  /** distances beyond the limit at which the formula changes, ascending; before the first there is no harm */
  readonly bends: readonly number[];
};

/** A limit and what lies beyond it: the distances at which another limit takes its place, K. */
export type HarmLimit = {
  readonly kind: HarmKind;
  /** °C or kPa */
  readonly limit: number;
  /** air below its band: from here down it is far too cold, and counted as that, °C */
  readonly farTooColdC?: number;
  readonly constants?: HarmConstants;
};

/** Which side of its limit harms: 1 above, −1 below. */
export function sideOf(kind: HarmKind): 1 | -1 {
  return kind === 'air-far-too-cold' || kind.endsWith('below-band') ? -1 : 1;
}

/**
 * The rate of a kind beyond a limit.
 * @example harmRate({ kind: 'air-over-ceiling', limit: 26.7 }).mean(4.3, 4.3) // 0.549 an hour
 */
export function harmRate({ kind, limit, farTooColdC, constants = HARM_SCALE[kind] }: HarmLimit): HarmRate {
  const { tolerableHours, step } = constants;
  const doubling = (from: number, to: number) => meanDoubling(from / step, to / step);
  switch (kind) {
    case 'air-over-ceiling':
    case 'root-zone-over-ceiling':
      return { mean: (from, to) => doubling(from, to) / tolerableHours, bends: [0] };
    case 'air-far-too-cold': {
      const frostX = limit - FROST.atOrBelowC;
      const mean = (from: number, to: number) =>
        (from + to) / 2 >= frostX ? 1 / FROST.tolerableHours : doubling(from, to) / tolerableHours;
      return { mean, bends: frostX > 0 ? [0, frostX] : [0] };
    }
    case 'vpd-above-band':
      return { mean: (from, to) => (doubling(from, to) - 1) / tolerableHours, bends: [0] };
    case 'air-below-band': {
      const endX = farTooColdC === undefined ? Number.POSITIVE_INFINITY : Math.max(limit - farTooColdC, 0);
      const mean = (from: number, to: number) =>
        (from + to) / 2 > endX ? 0 : (doubling(from, to) - 1) / tolerableHours;
      return { mean, bends: [0, endX] };
    }
    case 'root-zone-below-band':
      return {
        mean: (from, to) => Math.min((from + to) / 2 / step, 1) / tolerableHours,
        bends: [0, step],
      };
  }
}

/** Harm an hour at one value, 0 on the right side of the limit; °C or kPa. */
export function rateAt(harm: HarmLimit, value: number): number {
  const x = sideOf(harm.kind) * (value - harm.limit);
  return x > 0 ? harmRate(harm).mean(x, x) : 0;
}

/** Mean of 2^n along a straight line in n, exact also where its ends are close together. */
function meanDoubling(from: number, to: number): number {
  const grown = Math.LN2 * (to - from);
  return 2 ** from * (grown === 0 ? 1 : Math.expm1(grown) / grown);
}
