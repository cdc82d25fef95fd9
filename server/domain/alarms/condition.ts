/**
 * Whether one source of values is past a limit, with the delays of IEC 62682 / ISA-18.2:
 * `arming` waits for the on-delay, `clearing` for the off-delay. `lapsed` was past its limit when nothing was asked of it
 * any more: it has not recovered, and is judged on without a delay once there is a limit again. Times in ms since epoch.
 */
export type Condition = {
  readonly phase: 'clear' | 'arming' | 'standing' | 'clearing' | 'lapsed';
  /** when the phase began, on event time */
  readonly sinceMs: number;
  readonly lastMs: number;
  /** while arming: how much of the on-delay is spent, ms, and how fast it is being spent */
  readonly elapsedMs: number;
  readonly pace: number;
  /** while lapsed: why it is not judged, in words */
  readonly lapsedBy?: string;
  /** when it went past its limit, where it lapsed or waited out an off-delay since */
  readonly pastSinceMs?: number;
  /** the limit it was past last, where a value within it has not come back by the deadband */
  readonly pastLimit?: number;
};

/** How a limit is held; `deadband` and `halving` in the unit of the value. */
export type Limit = {
  readonly sense: 'above' | 'below';
  readonly deadband: number;
  readonly onDelayMs: number;
  readonly offDelayMs: number;
  /** each further excess of this much doubles the pace at which the on-delay is spent; null: it is 1 */
  readonly halving: number | null;
  /** ms since epoch; a delay that is over before this raises nothing until then */
  readonly notBeforeMs?: number;
};

/** A value of the source and the limits in force at its time. */
export type LimitedSample = {
  readonly tMs: number;
  readonly value: number;
  /** null: nothing is asked of it then */
  readonly limit: number | null;
  /** what is asked of one that is past its limit already; absent: the limit itself */
  readonly holdLimit?: number | null;
  /** why nothing is asked, in words */
  readonly unjudged?: string;
  /** whether a value within the limit shows that what was past it since then has recovered; absent: it does */
  readonly recovers?: (sinceMs: number) => boolean;
};

/** Why a limit is not asked, where nothing else is known. */
const NOT_ASKED = 'no limit is set for it';

export const CLEAR: Condition = { phase: 'clear', sinceMs: 0, lastMs: 0, elapsedMs: 0, pace: 1 };

/** An excess so great that a pace beyond it would say nothing more. */
const MOST_HALVINGS = 10;

/** True while the condition counts as met for the alarm: active, or waiting out its off-delay. */
export function isStanding(condition: Condition): boolean {
  return condition.phase === 'standing' || condition.phase === 'clearing';
}

/** True while the alarm rests on the condition: it is met, or has not recovered as far as anybody knows. */
export function isMet(condition: Condition): boolean {
  return isStanding(condition) || condition.phase === 'lapsed';
}

/** The limit that a source is held to, by whether it is past it already. */
export function limitFor(condition: Condition, { limit, holdLimit }: LimitedSample): number | null {
  return isMet(condition) && holdLimit !== undefined ? holdLimit : limit;
}

/** A source that was past its limit is not judged for now: that is no recovery. */
export function lapsed(condition: Condition, { tMs, why }: { tMs: number; why: string }): Condition {
  if (!isMet(condition)) return condition;
  const sinceMs = condition.phase === 'lapsed' ? condition.sinceMs : tMs;
  const lastMs = Math.max(condition.lastMs, tMs);
  return { ...condition, phase: 'lapsed', sinceMs, lastMs, lapsedBy: why, pastSinceMs: pastSince(condition) };
}

/**
 * Takes the next sample of the source. A sample not newer than the last changes nothing:
 * late data never raises an alarm. Met strictly past the limit, over once a sample is back by the deadband: a limit
 * that is not asked any more ends nothing.
 */
export function withSample(condition: Condition, sample: LimitedSample, limit: Limit): Condition {
  const { tMs } = sample;
  if (tMs <= condition.lastMs) return condition;
  if (isMet(condition)) return met(condition, { ...sample, limit: limitFor(condition, sample) }, limit);
  const excess = excessOf(sample, limit);
  if (excess <= 0) return condition.phase === 'clear' ? { ...condition, lastMs: tMs } : phase('clear', tMs);
  return condition.phase === 'clear'
    ? armed({ tMs, excess }, limit)
    : arming(condition, { tMs, excess }, limit);
}

function met(condition: Condition, sample: LimitedSample, limit: Limit): Condition {
  const { tMs, recovers } = sample;
  if (sample.limit === null) return lapsed(condition, { tMs, why: sample.unjudged ?? NOT_ASKED });
  const isClearing = condition.phase === 'clearing';
  const recovered = isBack(sample, limit) && (isClearing || recovers?.(pastSince(condition)) !== false);
  const goesOn = (name: Condition['phase']) => ({ ...phase(name, tMs), pastSinceMs: pastSince(condition) });
  if (!recovered) return condition.phase === 'standing' ? { ...condition, lastMs: tMs } : goesOn('standing');
  if (!isClearing) return limit.offDelayMs === 0 ? phase('clear', tMs) : goesOn('clearing');
  if (tMs - condition.sinceMs >= limit.offDelayMs) return phase('clear', tMs);
  return { ...condition, lastMs: tMs };
}

function pastSince({ pastSinceMs, sinceMs }: Condition): number {
  return pastSinceMs ?? sinceMs;
}

/**
 * Lets time pass without a sample: an on-delay runs out while the last sample is still fresh,
 * so that a slow probe does not make anyone wait for its next word. Only a sample ever clears.
 */
export function withTime(
  condition: Condition,
  time: { readonly nowMs: number; readonly staleAfterMs: number },
  limit: Pick<Limit, 'onDelayMs' | 'notBeforeMs'>,
): Condition {
  if (condition.phase !== 'arming') return condition;
  const sinceLastMs = time.nowMs - condition.lastMs;
  if (sinceLastMs > time.staleAfterMs) return condition;
  const elapsedMs = condition.elapsedMs + sinceLastMs * condition.pace;
  const isDue = elapsedMs >= limit.onDelayMs && mayStand(time.nowMs, limit);
  return isDue ? { ...condition, phase: 'standing' } : condition;
}

/**
 * When an on-delay will have run out if no other sample comes.
 * @returns ms since epoch; null where none runs
 */
export function dueAtMs(
  condition: Condition,
  { onDelayMs, notBeforeMs = 0 }: Pick<Limit, 'onDelayMs' | 'notBeforeMs'>,
): number | null {
  const { phase: now, lastMs, elapsedMs, pace } = condition;
  if (now !== 'arming') return null;
  return Math.max(lastMs + Math.max(0, onDelayMs - elapsedMs) / pace, notBeforeMs);
}

function mayStand(tMs: number, { notBeforeMs = 0 }: Pick<Limit, 'notBeforeMs'>): boolean {
  return tMs >= notBeforeMs;
}

function phase(name: Condition['phase'], tMs: number): Condition {
  return { phase: name, sinceMs: tMs, lastMs: tMs, elapsedMs: 0, pace: 1 };
}

type Excess = { readonly tMs: number; readonly excess: number };

function armed({ tMs, excess }: Excess, limit: Limit): Condition {
  if (limit.onDelayMs === 0 && mayStand(tMs, limit)) return phase('standing', tMs);
  return { ...phase('arming', tMs), pace: paceOf(excess, limit) };
}

function arming(condition: Condition, { tMs, excess }: Excess, limit: Limit): Condition {
  const elapsedMs = condition.elapsedMs + (tMs - condition.lastMs) * condition.pace;
  const pace = paceOf(excess, limit);
  if (elapsedMs >= limit.onDelayMs && mayStand(tMs, limit))
    return { ...condition, phase: 'standing', lastMs: tMs, elapsedMs, pace };
  return { ...condition, lastMs: tMs, elapsedMs, pace };
}

/** Harm by heat grows exponentially with the excess: so does the pace at which the delay elapses. @source [HEATDOSE] */
function paceOf(excess: number, { halving }: Limit): number {
  return halving === null ? 1 : 2 ** Math.min(excess / halving, MOST_HALVINGS);
}

/** Back by the deadband; compared as a grower would, at the value that must be reached. */
function isBack({ value, limit }: LimitedSample, { sense, deadband }: Limit): boolean {
  if (limit === null) return false;
  return sense === 'above' ? value <= limit - deadband : value >= limit + deadband;
}

function excessOf({ value, limit }: LimitedSample, { sense }: Limit): number {
  if (limit === null) return Number.NEGATIVE_INFINITY;
  return sense === 'above' ? value - limit : limit - value;
}
