import { DISEASE_WETNESS } from '../../../shared/climate/wet-hours.ts';
import { meanOf } from '../../../shared/exposure/integrate.ts';
import { MS_PER_HOUR, type Window } from '../../../shared/exposure/series.ts';
import type { Sums } from '../../../shared/exposure/sums.ts';
import type { PlaceSettings } from '../../../shared/model/place.ts';
import type { Exposures, TemperatureExposure, WetHours } from '../../../shared/wire/http.ts';
import { leafOffsetFrom, type RecordsByQuantity } from './curves.ts';
import { watchedSurface } from './details.ts';
import {
  addSums,
  type Group,
  groupOf,
  type HourSums,
  harmOf,
  lightOf,
  noSums,
  WET_CONDITIONS,
  wetOf,
} from './hour-sums.ts';
import type { Cut } from './pieces.ts';

/** Longest span that may be asked about at once, ms: two years. */
export const MAX_SPAN_MS = 2 * 366 * 24 * MS_PER_HOUR;

/**
 * How far before and after a window readings must be fetched, so that nothing in it depends on the cut:
 * a derived value at the window's edge may rest on an interpolation between readings a gap further out, and whether
 * those are measurements at all is decided by readings one more gap out.
 * @param maxGapMs longest covered gap of the place, ms
 */
export function fetchMarginMs({ maxGapMs }: Pick<PlaceSettings, 'maxGapMs'>): number {
  return 3 * maxGapMs;
}

/**
 * The sums of each day of a cut window, its pieces added in the order of time. Exposures are always the sum over
 * days of these, so that a day that was settled before and one that is counted now give the same, bit for bit.
 */
export function sumDays({ days, pieces }: Cut, sums: readonly HourSums[]): HourSums[] {
  const totals = days.map(() => noSums());
  pieces.forEach(({ day }, i) => {
    addSums(totals[day] as HourSums, sums[i] as HourSums);
  });
  return totals;
}

/** What exposures are put together from: the days of the window, and the sums of each. */
type Summed = Window & {
  readonly placeId: string;
  readonly settings: PlaceSettings;
  /** which quantities the place has probes for; the readings themselves are not looked at */
  readonly records: RecordsByQuantity;
  readonly days: Cut['days'];
  /** of each day, as far as it lies in the window */
  readonly sums: readonly HourSums[];
};

/** Puts the sums of a window's days together, in the order of time. */
export function exposuresFrom(summed: Summed): Exposures {
  const total = noSums();
  for (const part of summed.sums) addSums(total, part);
  const of = (group: Group) => groupOf(total, group);
  const ceiling = of('ceiling');
  const daylight = of('daylightVpd');
  const humidity = of('saturation');
  return {
    placeId: summed.placeId,
    from: new Date(summed.fromMs).toISOString(),
    to: new Date(summed.toMs).toISOString(),
    rootZone: temperature(of('rootZone')),
    air: {
      ...temperature(of('air')),
      hoursOverCeiling: hours(ceiling.aboveMs),
      degreeHoursOverCeiling: hours(ceiling.areaAbove),
    },
    vpd: deficit(of('vpd')),
    saturation: { coveredHours: hours(humidity.coveredMs), hoursSaturated: hours(humidity.withinMs) },
    light: light(of('light'), summed),
    leafVpd: leaf(of('leafVpd'), summed),
    daylightVpd: { coveredHours: hours(daylight.coveredMs), kpaHours: hours(daylight.area) },
    rootMinusAir: rootMinusAir(of('rootMinusAir')),
    condensation: condensation(of('condensation'), summed),
    wetHours: wetHours(total),
    harm: harmOf(total),
  };
}

function hours(ms: number): number {
  return ms / MS_PER_HOUR;
}

/** Lowest, highest and mean weighted by time; null where nothing is covered. */
function shape(sums: Sums): { min: number | null; max: number | null; mean: number | null } {
  if (sums.coveredMs === 0) return { min: null, max: null, mean: null };
  return { min: sums.min, max: sums.max, mean: meanOf(sums) };
}

function inBand(sums: Sums) {
  return {
    coveredHours: hours(sums.coveredMs),
    hoursBelow: hours(sums.belowMs),
    hoursWithin: hours(sums.withinMs),
    hoursAbove: hours(sums.aboveMs),
  };
}

function temperature(sums: Sums): TemperatureExposure {
  const { min, max, mean } = shape(sums);
  return {
    ...inBand(sums),
    degreeHoursBelow: hours(sums.areaBelow),
    degreeHoursAbove: hours(sums.areaAbove),
    minC: min,
    maxC: max,
    meanC: mean,
  };
}

function deficit(sums: Sums): Exposures['vpd'] {
  const { min, max, mean } = shape(sums);
  return {
    ...inBand(sums),
    kpaHoursBelow: hours(sums.areaBelow),
    kpaHoursAbove: hours(sums.areaAbove),
    minKpa: min,
    maxKpa: max,
    meanKpa: mean,
  };
}

function light(all: Sums, { days, sums }: Summed): Exposures['light'] {
  return {
    coveredHours: hours(all.coveredMs),
    days: days.map(({ date }, i) => {
      const { area, coveredMs, withinMs } = lightOf(sums[i] as HourSums);
      const dliMolM2 = area / 1000 / 1e6;
      return { date, dliMolM2, coveredHours: hours(coveredMs), photoperiodHours: hours(withinMs) };
    }),
  };
}

function leaf(sums: Sums, { records, settings }: Summed): Exposures['leafVpd'] {
  const { max, mean } = shape(sums);
  const offsetFrom = leafOffsetFrom({ records, settings });
  const assumedOffsetK =
    offsetFrom === 'probe' || offsetFrom === 'light' ? null : (settings.leafOffsetK ?? 0);
  return {
    coveredHours: hours(sums.coveredMs),
    kpaHours: hours(sums.area),
    maxKpa: max,
    meanKpa: mean,
    assumedOffsetK,
    ...(offsetFrom === 'light' ? { offsetFrom } : {}),
  };
}

function rootMinusAir(sums: Sums): Exposures['rootMinusAir'] {
  const { min, max, mean } = shape(sums);
  return {
    coveredHours: hours(sums.coveredMs),
    hoursAirWarmer: hours(sums.belowMs),
    degreeHoursAirWarmer: hours(sums.areaBelow),
    minK: min,
    maxK: max,
    meanK: mean,
  };
}

function condensation(sums: Sums, { records }: Summed): Exposures['condensation'] {
  return {
    surface: watchedSurface(records),
    coveredHours: hours(sums.coveredMs),
    hoursBelowDewPoint: hours(sums.belowMs),
    minMarginK: shape(sums).min,
  };
}

function wetHours(total: HourSums): WetHours[] {
  return WET_CONDITIONS.map((condition, i) => {
    const { name, source } = DISEASE_WETNESS[condition as keyof typeof DISEASE_WETNESS];
    const { coveredMs, heldMs, longestMs } = wetOf(total, i);
    return {
      condition,
      name,
      coveredHours: hours(coveredMs),
      hours: hours(heldMs),
      longestHours: hours(longestMs),
      source,
    };
  });
}
