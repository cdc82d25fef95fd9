/**
 * Whether one probe is past a limit, with the delays of IEC 62682 / ISA-18.2:
 * `arming` waits for the on-delay, `clearing` for the off-delay.
 * Times in ms since epoch, `value` in the unit of the limit.
 */
export type Condition = {
  readonly phase: 'clear' | 'arming' | 'standing' | 'clearing';
  /** when the phase began, on event time */
  readonly sinceMs: number;
  readonly lastMs: number;
};

export type HighLimit = {
  readonly limit: number;
  readonly deadband: number;
  readonly onDelayMs: number;
  readonly offDelayMs: number;
};

export const CLEAR: Condition = { phase: 'clear', sinceMs: 0, lastMs: 0 };

/** True while the condition counts as met for the alarm: standing, or waiting out its off-delay. */
export function stands(condition: Condition): boolean {
  return condition.phase === 'standing' || condition.phase === 'clearing';
}

/**
 * Takes the next sample of the probe. A sample not newer than the last changes nothing:
 * late data never raises an alarm.
 * @param limit high limit; met strictly above `limit`, over at or below `limit - deadband`
 */
export function withSample(
  condition: Condition,
  sample: { readonly tMs: number; readonly value: number },
  limit: HighLimit,
): Condition {
  const { tMs, value } = sample;
  if (tMs <= condition.lastMs) return condition;
  const to = (phase: Condition['phase'], sinceMs: number): Condition => ({ phase, sinceMs, lastMs: tMs });
  const { phase, sinceMs } = condition;
  switch (phase) {
    case 'clear':
      if (value <= limit.limit) return to('clear', sinceMs);
      return to(limit.onDelayMs === 0 ? 'standing' : 'arming', tMs);
    case 'arming':
      if (value <= limit.limit) return to('clear', tMs);
      return tMs - sinceMs >= limit.onDelayMs ? to('standing', sinceMs) : to('arming', sinceMs);
    case 'standing':
      if (value > limit.limit - limit.deadband) return to('standing', sinceMs);
      return to(limit.offDelayMs === 0 ? 'clear' : 'clearing', tMs);
    case 'clearing':
      if (value > limit.limit - limit.deadband) return to('standing', tMs);
      return tMs - sinceMs >= limit.offDelayMs ? to('clear', tMs) : to('clearing', sinceMs);
  }
}

/**
 * Lets time pass without a sample: an on-delay runs out while the last sample is still fresh,
 * so that a slow probe does not make anyone wait for its next word. Only a sample ever clears.
 */
export function withTime(
  condition: Condition,
  time: { readonly nowMs: number; readonly staleAfterMs: number },
  limit: HighLimit,
): Condition {
  if (condition.phase !== 'arming') return condition;
  const fresh = time.nowMs - condition.lastMs <= time.staleAfterMs;
  const due = time.nowMs - condition.sinceMs >= limit.onDelayMs;
  return fresh && due ? { ...condition, phase: 'standing' } : condition;
}
