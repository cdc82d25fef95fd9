import { airVpdKpa } from '../../../shared/climate/humidity.ts';
import { ppfdFromIlluminance } from '../../../shared/climate/light.ts';
import { medianOf } from '../../../shared/exposure/sample.ts';
import type { LimitRule } from '../../../shared/model/alarm-rules.ts';
import type { ProbeQuantityName } from '../../../shared/quantities.ts';
import { asFormulasTakeIt } from '../exposures/curves.ts';

/** The source of a rule that looks at the place as a whole. */
export const WHOLE_PLACE = 'place';

type Feeds = { readonly each: readonly LimitRule[]; readonly place: readonly LimitRule[] };

/** Which rules a reading of a quantity bears on: of its own probe, and of the place as a whole. */
export const FED_BY: Readonly<Partial<Record<ProbeQuantityName, Feeds>>> = {
  'air/temperature': {
    each: ['air-over-ceiling', 'air-far-over-ceiling', 'air-below-band-at-night'],
    place: ['vpd-above-band-in-light', 'air-warmer-than-root'],
  },
  'air/humidity': { each: [], place: ['vpd-above-band-in-light'] },
  'root/temperature': {
    each: ['root-too-hot', 'root-below-band', 'root-falling-towards-air'],
    place: ['air-warmer-than-root'],
  },
  'light/ppfd': { each: ['light-over-peak'], place: [] },
  'light/illuminance': { each: ['light-over-peak'], place: [] },
};

/** Rules that are looked up every few minutes, from the record of the last hours. */
export const MINUTE_RULES = ['no-mist-in-light', 'vent-left-open', 'saturated-too-long'] as const;

/** At this much light, µmol m⁻² s⁻¹, leaves open their pores and lose water. Common practice, no source. */
export const IN_LIGHT_PPFD = 20;

/** A root zone must be this much warmer than its air for its fall to be one towards the air, K. */
const WARMER_K = 0.3;
/** A root zone this far above the low end of its band has warmth to spare, K. */
const SPARE_K = 1;

/** The newest values of a position that are not stale, and the newest time among them. */
export type Fresh = { readonly tMs: number; readonly values: readonly number[] } | null;

type PlaceSample = { readonly tMs: number; readonly value: number };

/** Vapour pressure deficit of a place's air now, kPa, of the medians of its probes; null where either is stale. */
export function vpdNow(air: Fresh, humidity: Fresh): PlaceSample | null {
  return joined(air, humidity, (airTemperatureC, relativeHumidityPct) =>
    airVpdKpa({ airTemperatureC, relativeHumidityPct: asFormulasTakeIt(relativeHumidityPct) }),
  );
}

/** By how much the air of a place is warmer than its root zone now, K. */
export function airAboveRootNow(air: Fresh, root: Fresh): PlaceSample | null {
  return joined(air, root, (airC, rootC) => airC - rootC);
}

/**
 * How fast a root zone falls towards its air, K/h; 0 while it is no warmer than the air, or has warmth to spare.
 * @param seen.fallKPerH over the last hour; null: not known
 */
export function fallTowardsAir(seen: {
  readonly fallKPerH: number | null;
  readonly rootC: number;
  readonly bandLowC: number;
  readonly air: Fresh;
}): number | null {
  const airC = seen.air && medianOf(seen.air.values);
  if (seen.fallKPerH === null || airC === null) return null;
  if (seen.rootC <= airC + WARMER_K || seen.rootC > seen.bandLowC + SPARE_K) return 0;
  return Math.max(0, seen.fallKPerH);
}

/** The photon flux a light reading stands for, µmol m⁻² s⁻¹. */
export function ppfdOf(reading: { quantity: string | null; value: number }, lxPerUmol: number): number {
  if (reading.quantity !== 'light/illuminance') return reading.value;
  return ppfdFromIlluminance({ illuminanceLx: reading.value, lxPerUmol });
}

function joined(a: Fresh, b: Fresh, f: (a: number, b: number) => number | null): PlaceSample | null {
  if (!a || !b) return null;
  const [medianA, medianB] = [medianOf(a.values), medianOf(b.values)];
  const value = medianA === null || medianB === null ? null : f(medianA, medianB);
  return value === null ? null : { tMs: Math.max(a.tMs, b.tMs), value };
}
