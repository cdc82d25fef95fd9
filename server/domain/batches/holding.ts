import { bandExposure } from '../../../shared/exposure/integrate.ts';
import { MS_PER_HOUR, type Segments, type Window } from '../../../shared/exposure/series.ts';
import type { BatchHolding } from '../../../shared/wire/cuttings/holding.ts';
import { utcOffsetMs } from '../calendar/days.ts';
import type { KeptBatch } from './batch.ts';
import { type HoldingLimit, publishedHolding } from './published-holding.ts';

const HOURS_A_DAY = 24;

type Held = {
  readonly stuckMs: number;
  readonly body: Pick<KeptBatch['body'], 'crop' | 'cutAtMs' | 'boxOpenedAtMs' | 'cutHour' | 'boxPlaceId'>;
};

/**
 * When cuttings lay in their box, as far as it is noted: from the cut, or else from the opening of the box, to sticking.
 * @returns ms since epoch; null where neither is noted, or not before sticking
 */
export function boxWindow({ stuckMs, body }: Held): Window | null {
  const fromMs = body.cutAtMs ?? body.boxOpenedAtMs;
  return fromMs === null || fromMs >= stuckMs ? null : { fromMs, toMs: stuckMs };
}

/**
 * How long and how warm cuttings were held, against what is published for their crop. A limit that counts from the
 * opening of a box is no limit for cuttings that came in none.
 * @param at.temperature °C in the box over `boxWindow`; null without a probe there
 * @param at.zone IANA time zone in which the hour of the cut is told
 */
export function holdingOf(
  batch: Held,
  { temperature, zone }: { readonly temperature: Segments | null; readonly zone: string },
): BatchHolding {
  const { crop, cutAtMs, boxOpenedAtMs, cutHour, boxPlaceId } = batch.body;
  const window = boxWindow(batch);
  const hoursTo = (fromMs: number | null) =>
    fromMs === null || fromMs > batch.stuckMs ? null : (batch.stuckMs - fromMs) / MS_PER_HOUR;
  const held: Judged = {
    hoursFromOpening: hoursTo(boxOpenedAtMs),
    isFromCut: cutAtMs !== null,
    cameInBox: boxOpenedAtMs !== null,
    window,
    temperature,
  };
  return {
    hoursFromCut: hoursTo(cutAtMs),
    hoursFromOpening: held.hoursFromOpening,
    cutHour: cutAtMs === null ? cutHour : localHour(cutAtMs, zone),
    boxPlaceId,
    box: window && temperature && boxOf(temperature, window),
    limits: publishedHolding(crop).map((limit) => judged(limit, held)),
  };
}

function localHour(atMs: number, zone: string): number {
  const hours = Math.floor((atMs + utcOffsetMs({ atMs, zone })) / MS_PER_HOUR);
  return ((hours % HOURS_A_DAY) + HOURS_A_DAY) % HOURS_A_DAY;
}

function boxOf(temperature: Segments, window: Window): BatchHolding['box'] {
  const { coveredHours, min, max, mean } = bandExposure(
    temperature,
    [{ ...window, low: null, high: null }],
    window,
  );
  return {
    from: new Date(window.fromMs).toISOString(),
    to: new Date(window.toMs).toISOString(),
    hours: (window.toMs - window.fromMs) / MS_PER_HOUR,
    coveredHours,
    minC: min,
    meanC: mean,
    maxC: max,
  };
}

type Judged = {
  readonly hoursFromOpening: number | null;
  readonly isFromCut: boolean;
  readonly cameInBox: boolean;
  readonly window: Window | null;
  readonly temperature: Segments | null;
};
type JudgedLimit = BatchHolding['limits'][number];

function judged(limit: HoldingLimit, held: Judged): JudgedLimit {
  if (limit.kind === 'warm-in-box') return { ...limit, ...warmth(limit, held) };
  const { hoursFromOpening, isFromCut, cameInBox } = held;
  if (hoursFromOpening !== null)
    return { ...limit, verdict: hoursFromOpening > limit.hours ? 'over' : 'within' };
  return { ...limit, verdict: isFromCut && !cameInBox ? 'does-not-apply' : 'cannot-be-judged' };
}

/** What is not on record may have been warm, and may not. */
function warmth(
  { temperatureC, inclusive, hours }: Extract<HoldingLimit, { kind: 'warm-in-box' }>,
  { isFromCut, window, temperature }: Judged,
): Pick<Extract<JudgedLimit, { kind: 'warm-in-box' }>, 'heldHours' | 'verdict'> {
  if (window === null) return { heldHours: null, verdict: 'cannot-be-judged' };
  const wholeHours = (window.toMs - window.fromMs) / MS_PER_HOUR;
  const [low, high] = inclusive ? [temperatureC, null] : [null, temperatureC];
  const found = temperature && bandExposure(temperature, [{ ...window, low, high }], window);
  const heldHours = found && (inclusive ? found.hoursWithin : found.hoursAbove);
  if (heldHours !== null && heldHours >= hours) return { heldHours, verdict: 'over' };
  const unseenHours = isFromCut ? wholeHours - (found?.coveredHours ?? 0) : Number.POSITIVE_INFINITY;
  const isWithin = (heldHours ?? 0) + unseenHours < hours;
  return { heldHours, verdict: isWithin ? 'within' : 'cannot-be-judged' };
}
