import { bandExposure, excessOver, hoursAtOrAbove, integral } from '../../../shared/exposure/integrate.ts';
import { MS_PER_HOUR, type Segments } from '../../../shared/exposure/series.ts';
import type { PlaceSettings } from '../../../shared/model/place.ts';
import type { TemperatureBandC } from '../../../shared/model/targets.ts';
import type { SeriesQuantityName } from '../../../shared/quantities.ts';
import type { Exposures, TemperatureExposure } from '../../../shared/wire/http.ts';
import { localDays } from '../calendar/days.ts';
import type { TargetSpan } from '../calendar/spans.ts';
import { curveOf } from './curves.ts';
import { condensation, daylightVpd, leafVpd, photoperiodHours, rootMinusAir } from './details.ts';
import type { ExposureQuestion } from './question.ts';
import { wetHoursOf } from './wet-hours.ts';

/**
 * How far before and after a window readings must be fetched, so that nothing in it depends on the cut:
 * a derived value at the window's edge may rest on an interpolation between readings a gap further out.
 * @param maxGapMs longest covered gap of the place, ms
 */
export function fetchMarginMs({ maxGapMs }: Pick<PlaceSettings, 'maxGapMs'>): number {
  return 2 * maxGapMs;
}

/** What the place was exposed to over a window, in hours, °C·h, kPa·h and mol m⁻², against the targets in force. */
export function exposuresOf(question: ExposureQuestion): Exposures {
  const { placeId, fromMs, toMs } = question;
  const of = (quantity: SeriesQuantityName): Segments => curveOf(quantity, question).segments;
  const air = of('airTemperatureC');
  const vpd = of('airVpdKpa');
  const humidity = of('relativeHumidityPct');
  const ceiling = excessOver(
    air,
    question.spans.map((span) => ({
      fromMs: span.fromMs,
      toMs: span.toMs,
      limit: span.targets.air.ceilingC,
    })),
    question,
  );
  return {
    placeId,
    from: new Date(fromMs).toISOString(),
    to: new Date(toMs).toISOString(),
    rootZone: temperatureExposure(of('rootZoneTemperatureC'), question, (span) => bandOf(span, 'rootZone')),
    air: {
      ...temperatureExposure(air, question, (span) => bandOf(span, 'air')),
      hoursOverCeiling: ceiling.hoursOver,
      degreeHoursOverCeiling: ceiling.unitHoursOver,
    },
    vpd: vpdExposure(vpd, question),
    saturation: saturation(humidity, question),
    light: light(of('ppfdUmolM2S'), question),
    leafVpd: leafVpd(question),
    daylightVpd: daylightVpd(vpd, question),
    rootMinusAir: rootMinusAir(question),
    condensation: condensation(question),
    wetHours: wetHoursOf({ air, humidity }, question),
  };
}

/** The temperature band of one position that holds in a span, °C. */
export function bandOf(span: TargetSpan, position: 'rootZone' | 'air'): TemperatureBandC {
  return span.targets[position][span.night ? 'night' : 'day'];
}

function temperatureExposure(
  segments: Segments,
  question: ExposureQuestion,
  band: (span: TargetSpan) => TemperatureBandC,
): TemperatureExposure {
  const pieces = question.spans.map((span) => ({
    fromMs: span.fromMs,
    toMs: span.toMs,
    low: band(span).lowC,
    high: band(span).highC,
  }));
  const { unitHoursBelow, unitHoursAbove, min, max, mean, ...hours } = bandExposure(
    segments,
    pieces,
    question,
  );
  return {
    ...hours,
    degreeHoursBelow: unitHoursBelow,
    degreeHoursAbove: unitHoursAbove,
    minC: min,
    maxC: max,
    meanC: mean,
  };
}

function vpdExposure(segments: Segments, question: ExposureQuestion): Exposures['vpd'] {
  const pieces = question.spans.map(({ fromMs, toMs, targets }) => ({
    fromMs,
    toMs,
    low: targets.vpd.lowKpa,
    high: targets.vpd.highKpa,
  }));
  const { unitHoursBelow, unitHoursAbove, min, max, mean, ...hours } = bandExposure(
    segments,
    pieces,
    question,
  );
  return {
    ...hours,
    kpaHoursBelow: unitHoursBelow,
    kpaHoursAbove: unitHoursAbove,
    minKpa: min,
    maxKpa: max,
    meanKpa: mean,
  };
}

function saturation(segments: Segments, question: ExposureQuestion): Exposures['saturation'] {
  const pieces = question.spans.map(({ fromMs, toMs, targets }) => ({
    fromMs,
    toMs,
    limit: targets.saturation.relativeHumidityPct,
  }));
  const { coveredHours, hoursAtOrAbove: hoursSaturated } = hoursAtOrAbove(segments, pieces, question);
  return { coveredHours, hoursSaturated };
}

function light(segments: Segments, question: ExposureQuestion): Exposures['light'] {
  const { fromMs, toMs, timeZone: zone } = question;
  const days = localDays({ fromMs, toMs, zone }).map((day) => {
    const window = { fromMs: Math.max(day.fromMs, fromMs), toMs: Math.min(day.toMs, toMs) };
    const { coveredHours, unitSeconds } = integral(segments, window);
    const photoperiod = photoperiodHours(segments, window);
    return { date: day.date, dliMolM2: unitSeconds / 1e6, coveredHours, photoperiodHours: photoperiod };
  });
  return { coveredHours: integral(segments, question).coveredHours, days };
}

/** Longest span that may be asked about at once, ms: two years. */
export const MAX_SPAN_MS = 2 * 366 * 24 * MS_PER_HOUR;
