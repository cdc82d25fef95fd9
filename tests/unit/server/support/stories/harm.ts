import { bandC, type Climate, courseOf, type Moment, type Piece, vpdCourse } from './climate.ts';

/**
 * Harm of the last 24 h by kind, written from the table of the design alone and summed in steps of a quarter of a minute.
 */
const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
const STEP_MS = 15_000;

export const KINDS = [
  'air-over-ceiling',
  'root-zone-over-ceiling',
  'air-far-too-cold',
  'vpd-above-band',
  'root-zone-below-band',
  'air-below-band',
] as const;
export type Kind = (typeof KINDS)[number];

/** Minutes in which an action still helps: the shortest of the rules of each kind. */
export const RESPOND_MIN: Readonly<Record<Kind, number>> = {
  'air-over-ceiling': 5,
  'root-zone-over-ceiling': 60,
  'air-far-too-cold': 60,
  'vpd-above-band': 30,
  'root-zone-below-band': 240,
  'air-below-band': 120,
};

export const COURSE_OF: Readonly<Record<Kind, 'air' | 'rootZone' | 'vpd'>> = {
  'air-over-ceiling': 'air',
  'root-zone-over-ceiling': 'rootZone',
  'air-far-too-cold': 'air',
  'vpd-above-band': 'vpd',
  'root-zone-below-band': 'rootZone',
  'air-below-band': 'air',
};

/** Air that chills tender tissue, °C, unless the sheet says otherwise. */
export function farTooColdC(moment: Moment): number {
  return moment.targets.alarms?.airFarTooColdC ?? Math.min(10, bandC(moment, 'air', 'lowC'));
}

export function rootCeilingC(moment: Moment): number {
  return moment.targets.alarms?.rootZoneCeilingC ?? Math.max(30, bandC(moment, 'rootZone', 'highC') + 2);
}

/** Harm an hour of a kind at a value, °C or kPa. */
export function rateOf(kind: Kind, value: number, moment: Moment): number {
  const { targets, night } = moment;
  switch (kind) {
    case 'air-over-ceiling': {
      const x = value - targets.air.ceilingC;
      return x > 0 ? 2 ** (x / 2.5) / 6 : 0;
    }
    case 'root-zone-over-ceiling': {
      const x = value - rootCeilingC(moment);
      return x > 0 ? 2 ** (x / 2) / 4 : 0;
    }
    case 'air-far-too-cold': {
      const x = farTooColdC(moment) - value;
      if (x <= 0) return 0;
      return value <= 0 ? 2 : 2 ** (x / 3) / 12;
    }
    case 'vpd-above-band': {
      const x = value - targets.vpd.highKpa;
      return x > 0 && !night ? (2 ** (x / 0.4) - 1) / 2 : 0;
    }
    case 'root-zone-below-band': {
      const x = bandC(moment, 'rootZone', 'lowC') - value;
      return x > 0 ? Math.min(x / 10, 1) / 24 : 0;
    }
    case 'air-below-band': {
      const x = bandC(moment, 'air', 'lowC') - value;
      return x > 0 && value >= farTooColdC(moment) ? (2 ** (x / 4) - 1) / 48 : 0;
    }
  }
}

/** The courses that harm is read from. */
export function coursesOf(climate: Climate): Readonly<Record<'air' | 'rootZone' | 'vpd', Piece[]>> {
  return {
    air: courseOf(climate, 'air/temperature'),
    rootZone: courseOf(climate, 'root/temperature'),
    vpd: vpdCourse(climate),
  };
}

/** Sums of whole pieces, which stay as they are from instant to instant. */
export type Sums = Map<string, number>;

type Of = {
  readonly course: readonly Piece[];
  readonly climate: Climate;
  readonly nowMs: number;
  readonly sums: Sums;
};

/** Harm of a kind over the 24 h before a time. */
export function harmOfDay(kind: Kind, { course, climate, nowMs, sums }: Of): number {
  let harm = 0;
  for (const piece of course) {
    const window = { fromMs: Math.max(piece.fromMs, nowMs - DAY_MS), toMs: Math.min(piece.toMs, nowMs) };
    if (window.fromMs >= window.toMs) continue;
    const isWhole = window.fromMs === piece.fromMs && window.toMs === piece.toMs;
    const key = `${kind} ${piece.fromMs} ${piece.toMs} ${piece.from} ${piece.to}`;
    const known = isWhole ? sums.get(key) : undefined;
    const found = known ?? harmIn(kind, piece, { ...window, climate });
    if (isWhole) sums.set(key, found);
    harm += found;
  }
  return harm;
}

type Window = { readonly fromMs: number; readonly toMs: number; readonly climate: Climate };

function harmIn(kind: Kind, piece: Piece, { fromMs, toMs, climate }: Window): number {
  const steps = Math.max(4, Math.ceil((toMs - fromMs) / STEP_MS));
  const stepMs = (toMs - fromMs) / steps;
  let harm = 0;
  for (let i = 0; i < steps; i++) {
    const tMs = fromMs + (i + 0.5) * stepMs;
    const share = (tMs - piece.fromMs) / (piece.toMs - piece.fromMs);
    const value = piece.from + (piece.to - piece.from) * share;
    harm += (rateOf(kind, value, climate.momentAt(tMs)) * stepMs) / HOUR_MS;
  }
  return harm;
}
