import type { Condensation, Exposures, RootMinusAir, WetHours } from '../../shared/wire/http.ts';
import {
  degreeHoursText,
  degreeSign,
  differenceText,
  fixed,
  hoursText,
  type TemperatureUnit,
} from '../common/format.ts';

/** A part of a sentence: words, or a number that can be asked about, or one that rests on an assumption. */
export type Piece = string | { readonly text: string; readonly path?: string; readonly estimated?: boolean };
export type Sentence = readonly Piece[];

const LEAST_HOURS = 0.05;
const NO_BREAK = '\u00a0';

const asked = (path: string, text: string): Piece => ({ path, text });
const kpa = (value: number) => `${fixed(value, 2)}${NO_BREAK}kPa`;
const kpaHours = (value: number) => `${fixed(value, 2)}${NO_BREAK}kPa·h`;
const apart = (valueK: number, unit: TemperatureUnit) =>
  `${differenceText(valueK, unit)}${NO_BREAK}${degreeSign(unit)}`;

/** How the root zone lay to the air over a span, or `null` when one of the two was not on record. */
export function rootMinusAirWords(answer: RootMinusAir, unit: TemperatureUnit): Sentence | null {
  const { meanK, minK, hoursAirWarmer } = answer;
  if (answer.coveredHours === 0 || meanK === null || minK === null) return null;
  const mean: Sentence = [
    'On average the root zone was ',
    asked('rootMinusAir.meanK', apart(meanK, unit)),
    meanK >= 0 ? ' warmer than the air.' : ' cooler than the air.',
  ];
  if (hoursAirWarmer < LEAST_HOURS) return [...mean, ' It was never the cooler of the two.'];
  return [
    ...mean,
    ' The air was the warmer for ',
    asked('rootMinusAir.hoursAirWarmer', hoursText(hoursAirWarmer)),
    ', by ',
    asked('rootMinusAir.minK', apart(minK, unit)),
    ' at most and ',
    asked('rootMinusAir.degreeHoursAirWarmer', degreeHoursText(answer.degreeHoursAirWarmer, unit)),
    ' in all.',
  ];
}

function offsetWords(offsetK: number, unit: TemperatureUnit): string {
  const sign = offsetK < 0 ? '−' : '';
  return `assumed leaf offset of ${sign}${apart(offsetK, unit)}`;
}

function leafKnownBy({ assumedOffsetK, offsetFrom }: Exposures['leafVpd'], unit: TemperatureUnit): Sentence {
  if (offsetFrom === 'light')
    return ['with a ', { text: 'leaf temperature estimated from the light', estimated: true }, '.'];
  if (assumedOffsetK === null) return ['by the leaf probe.'];
  return ['with an ', { text: offsetWords(assumedOffsetK, unit), estimated: true }, '.'];
}

/** What the leaf was under over a span, or `null` when air or humidity was not on record. */
export function leafVpdWords(
  { leafVpd, daylightVpd }: Pick<Exposures, 'leafVpd' | 'daylightVpd'>,
  unit: TemperatureUnit,
): Sentence | null {
  const { meanKpa, maxKpa } = leafVpd;
  if (leafVpd.coveredHours === 0 || meanKpa === null || maxKpa === null) return null;
  return [
    'Leaf VPD ',
    asked('leafVpd.meanKpa', kpa(meanKpa)),
    ' on average, ',
    asked('leafVpd.maxKpa', kpa(maxKpa)),
    ' at most, ',
    asked('leafVpd.kpaHours', kpaHours(leafVpd.kpaHours)),
    ' in all, ',
    ...leafKnownBy(leafVpd, unit),
    ' Air VPD in daylight: ',
    asked('daylightVpd.kpaHours', kpaHours(daylightVpd.kpaHours)),
    ' over ',
    asked('daylightVpd.coveredHours', hoursText(daylightVpd.coveredHours)),
    ' of day on record.',
  ];
}

/** How near the coldest watched surface came to the dew point, or `null` when none is watched. */
export function condensationWords(answer: Condensation, unit: TemperatureUnit): Sentence | null {
  const { surface, minMarginK, hoursBelowDewPoint } = answer;
  if (surface === null || answer.coveredHours === 0 || minMarginK === null) return null;
  const isMet: Sentence =
    surface === 'wall'
      ? ['The wall ']
      : [
          'No wall probe, so ',
          { text: 'the outside air stands in', estimated: true },
          ' for the coldest surface. It ',
        ];
  const side = minMarginK < 0 ? 'below' : 'above';
  const margin: Sentence = [
    asked('condensation.minMarginK', apart(minMarginK, unit)),
    ` ${side} the dew point`,
  ];
  if (hoursBelowDewPoint < LEAST_HOURS && minMarginK >= 0) {
    return [...isMet, 'stayed above the dew point of the air; at its nearest it was ', ...margin, '.'];
  }
  return [
    ...isMet,
    'lay below the dew point of the air for ',
    asked('condensation.hoursBelowDewPoint', hoursText(hoursBelowDewPoint)),
    ', wet with dew; at its coldest it was ',
    ...margin,
    '.',
  ];
}

/** What the table of wet hours is, and is not; `null` when no condition could be counted. */
export function wetHoursWords(conditions: readonly WetHours[]): Sentence | null {
  if (!conditions.some(({ coveredHours }) => coveredHours > 0)) return null;
  return [
    'Hours in the published conditions under which a disease can start: a counter, never a diagnosis. ',
    'Cuttings before rooting live in such hours on purpose.',
  ];
}

const NEEDS = {
  rootMinusAir: 'root zone against air needs a root-zone and an air probe',
  leaf: 'the leaf needs air temperature and humidity',
  mist: 'mist needs a valve probe, or humidity or leaf wetness read every minute or two',
  vents: 'vents need air temperature and humidity read at least every five minutes',
  condensation: 'condensation needs a wall probe, or an outside one to stand in',
  wetHours: 'wet hours need air temperature, and humidity or leaf wetness',
  light: 'light needs a light probe',
} as const;
export type SpanPart = keyof typeof NEEDS;

/** One line naming what the parts that have nothing to say would need, or `null` when all have. */
export function needsWords(missing: readonly SpanPart[]): string | null {
  if (missing.length === 0) return null;
  return `Not available: ${missing.map((part) => NEEDS[part]).join('; ')}.`;
}
