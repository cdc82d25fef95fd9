import { whereAbove } from '../../../shared/exposure/intersect.ts';
import { MS_PER_HOUR, type Segments, type Window } from '../../../shared/exposure/series.ts';
import { thresholdSpans } from '../../../shared/exposure/threshold.ts';
import { doseOver } from '../../../shared/harm/dose.ts';
import type { UnmistedFacts } from '../../../shared/rules/facts.ts';
import { dryLimitMin } from '../../../shared/rules/leaves/no-mist-in-light.ts';
import type { ExcursionKind } from '../../../shared/wire/places/night.ts';
import { SAMPLE_EVERY_MS } from '../alarms/limit-samples.ts';
import type { TargetSpan } from '../calendar/spans.ts';
import { gapsIn } from '../harm/gaps.ts';
import { type HarmCurves, harmPiece } from '../harm/harm-in.ts';
import type { DryGap } from '../mist/pattern.ts';
import { COURSE_KINDS, COURSES, type CourseKind, limitLineOf } from './kinds.ts';
import { stretchesBeyond } from './stretches.ts';

/** Something that was beyond its limit, or missing, between exact instants. */
export type PlaceExcursion = Window & {
  readonly kind: ExcursionKind;
  /** it lasts to the end of the window, as far as that is known */
  readonly goesOn: boolean;
  /** the value furthest beyond its limit, °C, kPa, %RH or min; null where nothing was read */
  readonly peak: number | null;
  /** how far that was beyond it, K or kPa; null where it is not measured so */
  readonly furthest: number | null;
  /** K·h or kPa·h; null where there is no course */
  readonly dose: number | null;
  /** dimensionless; null where nothing was read */
  readonly harm: number | null;
};

/** What excursions are read from. */
export type ExcursionFacts = {
  readonly curves: HarmCurves & { readonly humidity: Segments };
  readonly spans: readonly TargetSpan[];
  /** spells in light without mist; none where mist cannot be counted on */
  readonly dryGaps: readonly DryGap[];
  /** the batch that stands the shortest without mist at a time; asked at times that only grow */
  readonly unmisted: (tMs: number) => UnmistedFacts | null;
  readonly window: Window;
  /** a silence up to the end of the window counts as one from so long on, ms */
  readonly maxGapMs: number;
};

/**
 * What was beyond its limit at a place, or missing, over a window: between exact crossings, without delay or deadband. A
 * gap ends an excursion; over the ceiling takes the place of above the band, far too cold that of below.
 * @returns in the order of time
 */
export function placeExcursions(facts: ExcursionFacts): PlaceExcursion[] {
  return [
    ...COURSE_KINDS.flatMap((kind) => ofCourse(kind, facts)),
    ...saturations(facts),
    ...withoutMist(facts),
    ...unseen(facts),
  ].sort((a, b) => a.fromMs - b.fromMs);
}

function ofCourse(kind: CourseKind, facts: ExcursionFacts): PlaceExcursion[] {
  const { from, harm } = COURSES[kind];
  const { curves, spans, window } = facts;
  const segments = curves[from];
  const limits = spans.map((span) => limitLineOf(kind, span));
  const pieces = harm === null ? [] : spans.map((span) => harmPiece(harm, span));
  return stretchesBeyond(segments, limits, window).map(({ area, ...found }) => ({
    kind,
    ...found,
    goesOn: lasts(segments, found, facts),
    dose: area / MS_PER_HOUR,
    harm: doseOver(segments, pieces, found),
  }));
}

/** Saturated air, where the sheet asks for it. */
function saturations(facts: ExcursionFacts): PlaceExcursion[] {
  const { curves, spans, window } = facts;
  const { humidity } = curves;
  const found: PlaceExcursion[] = [];
  for (const { fromMs, toMs, targets } of spans) {
    if (targets.alarms?.saturatedHours === undefined) continue;
    const part = { fromMs: Math.max(fromMs, window.fromMs), toMs: Math.min(toMs, window.toMs) };
    for (const wet of whereAbove(thresholdSpans(humidity, targets.saturation.relativeHumidityPct, part))) {
      const last = found.at(-1);
      const begins = last?.toMs === wet.fromMs ? last.fromMs : wet.fromMs;
      if (begins !== wet.fromMs) found.pop();
      const whole = { fromMs: begins, toMs: wet.toMs };
      const goesOn = lasts(humidity, whole, facts);
      const beside = { furthest: null, dose: null, harm: 0 };
      found.push({ kind: 'saturated', ...whole, goesOn, peak: highestIn(humidity, whole), ...beside });
    }
  }
  return found;
}

function highestIn({ startMs, endMs, startValue, endValue, count }: Segments, span: Window): number {
  let highest = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < count; i++) {
    if ((endMs[i] as number) <= span.fromMs || (startMs[i] as number) >= span.toMs) continue;
    highest = Math.max(highest, startValue[i] as number, endValue[i] as number);
  }
  return highest;
}

const MINUTE_MS = 60_000;

/** Mist that stayed away in light for longer than its rule allows, from then on. */
function withoutMist({ dryGaps, window, unmisted }: ExcursionFacts): PlaceExcursion[] {
  return dryGaps.flatMap((gap): PlaceExcursion[] => {
    const { fromMs, toMs } = gap;
    const lateMs = Math.max(dryFromMs(gap, unmisted), window.fromMs);
    const untilMs = Math.min(toMs, window.toMs);
    if (lateMs >= untilMs) return [];
    const peak = (untilMs - fromMs) / MINUTE_MS;
    const beside = { peak, furthest: null, dose: null, harm: 0 };
    return [{ kind: 'no-mist', fromMs: lateMs, toMs: untilMs, goesOn: toMs >= window.toMs, ...beside }];
  });
}

/** When mist had stayed away for longer than its rule allows, looked up as often as the rule is; ms since epoch. */
function dryFromMs({ fromMs, toMs, patternMs }: DryGap, unmisted: ExcursionFacts['unmisted']): number {
  if (patternMs === null) return Number.POSITIVE_INFINITY;
  const flatMs = fromMs + dryLimitMin(patternMs) * MINUTE_MS;
  const untilMs = Math.min(flatMs, toMs);
  for (
    let tMs = Math.ceil(fromMs / SAMPLE_EVERY_MS) * SAMPLE_EVERY_MS;
    tMs < untilMs;
    tMs += SAMPLE_EVERY_MS
  ) {
    const lateMs = fromMs + dryLimitMin(patternMs, unmisted(tMs)) * MINUTE_MS;
    if (lateMs < tMs) return lateMs;
  }
  return flatMs;
}

/** Stretches in which the place was not seen; after the first reading that there is. */
function unseen({ curves, window, maxGapMs }: ExcursionFacts): PlaceExcursion[] {
  const seen = curves.air.count > 0 ? curves.air : curves.rootZone;
  const beside = { kind: 'no-data', peak: null, furthest: null, dose: null, harm: null } as const;
  const gaps = gapsIn(seen, window).map((gap) => ({
    ...beside,
    fromMs: Math.max(gap.fromMs, window.fromMs),
    toMs: Math.min(gap.toMs, window.toMs),
    goesOn: false,
  }));
  const lastMs = seen.endMs[seen.count - 1];
  if (lastMs === undefined || window.toMs - lastMs <= maxGapMs) return gaps;
  const fromMs = Math.max(lastMs, window.fromMs);
  return [...gaps, { ...beside, fromMs, toMs: window.toMs, goesOn: true }];
}

/** Whether a stretch lasts to the end of the window, or to a newest reading shortly before it. */
function lasts({ endMs, count }: Segments, { toMs }: Window, { window, maxGapMs }: ExcursionFacts): boolean {
  const knownToMs = Math.min(endMs[count - 1] ?? window.fromMs, window.toMs);
  return toMs >= knownToMs && window.toMs - knownToMs <= maxGapMs;
}
