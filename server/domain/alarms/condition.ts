/**
 * Whether one source of values is past a limit, with the delays of IEC 62682 / ISA-18.2:
 * `arming` waits for the on-delay, `clearing` for the off-delay. Times in ms since epoch.
 */
export type Condition = {
  readonly phase: 'clear' | 'arming' | 'standing' | 'clearing';
  /** when the phase began, on event time */
  readonly sinceMs: number;
  readonly lastMs: number;
  /** while arming: how much of the on-delay is spent, ms, and how fast it is being spent */
  readonly elapsedMs: number;
  readonly pace: number;
};

/** How a limit is held; `deadband` and `halving` in the unit of the value. */
export type Limit = {
  readonly sense: 'above' | 'below';
  readonly deadband: number;
  readonly onDelayMs: number;
  readonly offDelayMs: number;
  /** each further excess of this much doubles the pace at which the on-delay is spent; null: it is 1 */
  readonly halving: number | null;
};

/** A value of the source and the limit in force at its time; null: nothing is asked of it then. */
export type LimitedSample = { readonly tMs: number; readonly value: number; readonly limit: number | null };

export const CLEAR: Condition = { phase: 'clear', sinceMs: 0, lastMs: 0, elapsedMs: 0, pace: 1 };

/** An excess so great that a pace beyond it would say nothing more. */
const MOST_HALVINGS = 10;

/** True while the condition counts as met for the alarm: standing, or waiting out its off-delay. */
export function isMet(condition: Condition): boolean {
  return condition.phase === 'standing' || condition.phase === 'clearing';
}

/**
 * Takes the next sample of the source. A sample not newer than the last changes nothing:
 * late data never raises an alarm. Met strictly past the limit, over once back by the deadband.
 */
export function withSample(condition: Condition, sample: LimitedSample, limit: Limit): Condition {
  const { tMs } = sample;
  if (tMs <= condition.lastMs) return condition;
  const excess = excessOf(sample, limit);
  switch (condition.phase) {
    case 'clear':
      return excess > 0 ? armed({ tMs, excess }, limit) : { ...condition, lastMs: tMs };
    case 'arming':
      return excess > 0 ? arming(condition, { tMs, excess }, limit) : phase('clear', tMs);
    case 'standing':
      if (!isBack(sample, limit)) return { ...condition, lastMs: tMs };
      return phase(limit.offDelayMs === 0 ? 'clear' : 'clearing', tMs);
    case 'clearing':
      if (!isBack(sample, limit)) return phase('standing', tMs);
      if (tMs - condition.sinceMs >= limit.offDelayMs) return phase('clear', tMs);
      return { ...condition, lastMs: tMs };
  }
}

/**
 * Lets time pass without a sample: an on-delay runs out while the last sample is still fresh,
 * so that a slow probe does not make anyone wait for its next word. Only a sample ever clears.
 */
export function withTime(
  condition: Condition,
  time: { readonly nowMs: number; readonly staleAfterMs: number },
  limit: Pick<Limit, 'onDelayMs'>,
): Condition {
  if (condition.phase !== 'arming') return condition;
  const sinceLastMs = time.nowMs - condition.lastMs;
  if (sinceLastMs > time.staleAfterMs) return condition;
  const elapsedMs = condition.elapsedMs + sinceLastMs * condition.pace;
  return elapsedMs >= limit.onDelayMs ? { ...condition, phase: 'standing' } : condition;
}

/**
 * When an on-delay will have run out if no other sample comes.
 * @returns ms since epoch; null where none runs
 */
export function dueAtMs(condition: Condition, { onDelayMs }: Pick<Limit, 'onDelayMs'>): number | null {
  const { phase: now, lastMs, elapsedMs, pace } = condition;
  return now === 'arming' ? lastMs + Math.max(0, onDelayMs - elapsedMs) / pace : null;
}

function phase(name: Condition['phase'], tMs: number): Condition {
  return { phase: name, sinceMs: tMs, lastMs: tMs, elapsedMs: 0, pace: 1 };
}

type Excess = { readonly tMs: number; readonly excess: number };

function armed({ tMs, excess }: Excess, limit: Limit): Condition {
  if (limit.onDelayMs === 0) return phase('standing', tMs);
  return { ...phase('arming', tMs), pace: paceOf(excess, limit) };
}

function arming(condition: Condition, { tMs, excess }: Excess, limit: Limit): Condition {
  const elapsedMs = condition.elapsedMs + (tMs - condition.lastMs) * condition.pace;
  const pace = paceOf(excess, limit);
  if (elapsedMs >= limit.onDelayMs) return { ...condition, phase: 'standing', lastMs: tMs, elapsedMs, pace };
  return { ...condition, lastMs: tMs, elapsedMs, pace };
}

/** Harm by heat grows exponentially with the excess: so does the pace at which patience is spent. @source [HEATDOSE] */
function paceOf(excess: number, { halving }: Limit): number {
  return halving === null ? 1 : 2 ** Math.min(excess / halving, MOST_HALVINGS);
}

/** Back by the deadband; compared as a grower would, at the value that must be reached. */
function isBack({ value, limit }: LimitedSample, { sense, deadband }: Limit): boolean {
  if (limit === null) return true;
  return sense === 'above' ? value <= limit - deadband : value >= limit + deadband;
}

function excessOf({ value, limit }: LimitedSample, { sense }: Limit): number {
  if (limit === null) return Number.NEGATIVE_INFINITY;
  return sense === 'above' ? value - limit : limit - value;
}
