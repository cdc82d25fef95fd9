import type { AlarmFacts } from '../../../shared/model/alarm.ts';
import type { CeilingAlarmSettings } from '../../../shared/model/place.ts';
import { CLEAR, type Condition, type HighLimit, stands, withSample, withTime } from './condition.ts';
import { type AlarmRecord, type AlarmStep, isActive, withCondition } from './record.ts';

/** An air temperature (°C) of one probe, the ceiling (°C) in force at its time, and how it was moving. */
export type AirSample = {
  readonly probeId: number;
  readonly tMs: number;
  readonly valueC: number;
  readonly ceilingC: number;
  readonly slopeKPerMin: number | null;
};

type CeilingFacts = Extract<AlarmFacts, { kind: 'air-over-ceiling' }>;

/** Takes one air temperature into the alarm "air above its ceiling"; each probe is judged by itself. */
export function withAirSample(
  record: AlarmRecord,
  sample: AirSample,
  settings: CeilingAlarmSettings,
): AlarmStep {
  const before = record.conditions[sample.probeId] ?? CLEAR;
  const limit = highLimit(sample.ceilingC, settings);
  const after = withSample(before, { tMs: sample.tMs, value: sample.valueC }, limit);
  if (after === before) return { record, transition: null };
  const conditions = { ...record.conditions, [sample.probeId]: after };
  const step = withCondition({ ...record, conditions }, { stands: anyStands(conditions), atMs: sample.tMs });
  if (!stands(after) || isBeside(after, conditions)) return step;
  const facts = ceilingFacts(record, sample, after.sinceMs);
  return { ...step, record: { ...step.record, facts } };
}

/** Lets time pass: an on-delay that has run out raises the alarm though no new sample came. */
export function withTimeAtCeiling(
  record: AlarmRecord,
  time: {
    readonly nowMs: number;
    readonly staleAfterMs: number;
    readonly newest: (probeId: number) => AirSample | null;
  },
  settings: CeilingAlarmSettings,
): AlarmStep {
  let step: AlarmStep = { record, transition: null };
  for (const [key, condition] of Object.entries(record.conditions)) {
    const sample = condition.phase === 'arming' ? time.newest(Number(key)) : null;
    // the ceiling may have been raised since, from a time before the sample
    if (!sample || sample.valueC <= sample.ceilingC) continue;
    const after = withTime(condition, time, highLimit(sample.ceilingC, settings));
    if (after === condition) continue;
    const conditions = { ...step.record.conditions, [sample.probeId]: after };
    const facts = ceilingFacts(step.record, sample, after.sinceMs);
    const next = withCondition({ ...step.record, conditions, facts }, { stands: true, atMs: time.nowMs });
    step = { record: next.record, transition: step.transition ?? next.transition };
  }
  return step;
}

/** True when a step changed anything that must survive a restart; a newer sample alone need not. */
export function mustBeKept(before: AlarmRecord, step: AlarmStep): boolean {
  if (step.transition || peakOf(step.record) !== peakOf(before)) return true;
  return Object.entries(step.record.conditions).some(
    ([probeId, after]) => after.phase !== (before.conditions[Number(probeId)] ?? CLEAR).phase,
  );
}

function highLimit(ceilingC: number, settings: CeilingAlarmSettings): HighLimit {
  const { onDelayMs, offDelayMs, deadbandK } = settings;
  return { limit: ceilingC, deadband: deadbandK, onDelayMs, offDelayMs };
}

function anyStands(conditions: AlarmRecord['conditions']): boolean {
  return Object.values(conditions).some(stands);
}

/** A probe that waits out its off-delay while another one is still over says nothing of how hot it is. */
function isBeside(condition: Condition, all: AlarmRecord['conditions']): boolean {
  return condition.phase === 'clearing' && Object.values(all).some(({ phase }) => phase === 'standing');
}

function peakOf({ facts }: AlarmRecord): number | null {
  return facts?.kind === 'air-over-ceiling' ? facts.peakC : null;
}

function ceilingFacts(record: AlarmRecord, sample: AirSample, sinceMs: number): CeilingFacts {
  const before = record.facts?.kind === 'air-over-ceiling' && isActive(record) ? record.facts : null;
  return {
    kind: 'air-over-ceiling',
    valueC: sample.valueC,
    ceilingC: sample.ceilingC,
    peakC: Math.max(sample.valueC, before?.peakC ?? sample.valueC),
    sinceMs: Math.min(sinceMs, before?.sinceMs ?? sinceMs),
    atMs: sample.tMs,
    slopeKPerMin: sample.slopeKPerMin,
  };
}
