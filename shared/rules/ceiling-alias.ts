import type { CeilingAlarm } from '../model/alarms/ceiling-alarm.ts';
import type { LimitSettings } from '../model/alarms/limit-settings.ts';
import { airOverCeiling } from './air/air-over-ceiling.ts';
import type { AlarmFacts, WireFacts } from './facts.ts';
import type { AlarmRule } from './rules.ts';

/*
 * The alarm of the ceiling is a rule like any other; version 1 of the interface has settings and facts of its own for it,
 * which stay on the wire.
 */

type LimitAlarms = Readonly<Partial<Record<AlarmRule, LimitSettings>>>;

/** How the alarm of the ceiling waits at a place: delays in ms, deadband in K. */
export function ceilingAlarmOf(alarms: LimitAlarms): CeilingAlarm {
  const set = alarms['air-over-ceiling'];
  return {
    onDelayMs: set?.onDelayMs ?? airOverCeiling.onDelayMs,
    offDelayMs: set?.offDelayMs ?? airOverCeiling.offDelayMs,
    deadbandK: set?.deadband ?? airOverCeiling.deadband,
  };
}

/** The settings of alarms with what was set in the place of the ceiling's own. */
export function withCeilingAlarm<A extends LimitAlarms>(alarms: A, set: CeilingAlarm): A {
  const { onDelayMs, offDelayMs, deadbandK } = set;
  const before = alarms['air-over-ceiling'];
  return { ...alarms, 'air-over-ceiling': { ...before, onDelayMs, offDelayMs, deadband: deadbandK } };
}

export function factsOnWire(rule: AlarmRule, facts: AlarmFacts | null): WireFacts | null {
  if (rule !== airOverCeiling.id || facts?.kind !== 'past-limit') return facts;
  return {
    kind: 'air-over-ceiling',
    valueC: facts.value,
    ceilingC: facts.limit,
    peakC: facts.worst,
    sinceMs: facts.sinceMs,
    atMs: facts.atMs,
    slopeKPerMin: facts.slopePerMin,
    ...(facts.moved === undefined ? {} : { moved: facts.moved }),
  };
}

export function factsFromWire(facts: WireFacts | null): AlarmFacts | null {
  if (facts?.kind !== 'air-over-ceiling') return facts;
  return {
    kind: 'past-limit',
    value: facts.valueC,
    limit: facts.ceilingC,
    worst: facts.peakC,
    sinceMs: facts.sinceMs,
    atMs: facts.atMs,
    slopePerMin: facts.slopeKPerMin,
    ...(facts.moved === undefined ? {} : { moved: facts.moved }),
  };
}
