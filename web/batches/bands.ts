import type { Targets } from '../../shared/model/targets.ts';
import {
  degreeSign,
  differenceText,
  fixed,
  type TemperatureUnit,
  temperatureText,
} from '../common/format.ts';

/** What a batch wants otherwise than the bands that hold: one limit, and how far apart. */
type Disagreement = { readonly words: string; readonly byK: number };

/** Nearer than this the bands agree, K and kPa. */
const AGREE_K = 0.05;
const AGREE_KPA = 0.005;
/** A tenth of a kPa weighs as much as a kelvin when they are put in order. */
const KPA_AS_K = 10;

type Band = { readonly lowC: number; readonly highC: number };

/**
 * How the bands a batch wants differ from those that hold, the furthest apart first.
 * @param wanted by its own sheet and stage
 * @param held of the place, as the leading batch sets them
 */
export function disagreements(wanted: Targets, held: Targets, unit: TemperatureUnit): Disagreement[] {
  const bands: readonly (readonly [string, Band, Band])[] = [
    ['root zone by day', wanted.rootZone.day, held.rootZone.day],
    ['root zone by night', wanted.rootZone.night, held.rootZone.night],
    ['air by day', wanted.air.day, held.air.day],
    ['air by night', wanted.air.night, held.air.night],
  ];
  const ceilings = ceilingDisagreement(wanted.air.ceilingC, held.air.ceilingC, unit);
  const found = [
    ...bands.map(([name, want, hold]) => bandDisagreement(name, [want, hold], unit)),
    ceilings,
    vpdDisagreement(wanted.vpd, held.vpd),
  ];
  return found.filter((one) => one !== null).sort((a, b) => b.byK - a.byK);
}

function bandDisagreement(
  name: string,
  [want, hold]: readonly [Band, Band],
  unit: TemperatureUnit,
): Disagreement | null {
  const [low, high] = [hold.lowC - want.lowC, hold.highC - want.highC];
  const furthest = Math.abs(low) >= Math.abs(high) ? low : high;
  const byK = Math.abs(furthest);
  if (byK < AGREE_K) return null;
  const span = ({ lowC, highC }: Band) =>
    `${temperatureText(lowC, unit)} to ${temperatureText(highC, unit)} ${degreeSign(unit)}`;
  return {
    words: `${name}: wants ${span(want)}, the place is held at ${span(hold)}, ${by(furthest, unit)}`,
    byK,
  };
}

function ceilingDisagreement(want: number, hold: number, unit: TemperatureUnit): Disagreement | null {
  const byK = Math.abs(hold - want);
  if (byK < AGREE_K) return null;
  const text = (valueC: number) => `${temperatureText(valueC, unit)} ${degreeSign(unit)}`;
  return {
    words: `air ceiling: wants ${text(want)}, the place has ${text(hold)}, ${by(hold - want, unit)}`,
    byK,
  };
}

function vpdDisagreement(want: Targets['vpd'], hold: Targets['vpd']): Disagreement | null {
  const [low, high] = [hold.lowKpa - want.lowKpa, hold.highKpa - want.highKpa];
  const furthest = Math.abs(low) >= Math.abs(high) ? low : high;
  if (Math.abs(furthest) < AGREE_KPA) return null;
  const span = ({ lowKpa, highKpa }: Targets['vpd']) => `${fixed(lowKpa, 2)} to ${fixed(highKpa, 2)} kPa`;
  const way = furthest > 0 ? 'drier' : 'more humid';
  return {
    words: `VPD: wants ${span(want)}, the place is held at ${span(hold)}, up to ${fixed(Math.abs(furthest), 2)} kPa ${way}`,
    byK: Math.abs(furthest) * KPA_AS_K,
  };
}

function by(differenceK: number, unit: TemperatureUnit): string {
  return `up to ${differenceText(differenceK, unit)} ${degreeSign(unit)} ${differenceK > 0 ? 'warmer' : 'cooler'}`;
}
