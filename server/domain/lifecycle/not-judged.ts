import type { AlarmFacts } from '../../../shared/model/alarms/alarm.ts';
import type { Probe } from '../../../shared/model/probes/probe.ts';
import { isMet } from '../alarms/condition.ts';
import { type AlarmRecord, type AlarmStep, isActive } from '../alarms/record.ts';
import { WHOLE_PLACE } from '../alarms/signals.ts';

type GoneProbe = Pick<Probe, 'id' | 'device' | 'name' | 'quantity'>;

/** Positions on whose readings an alarm of a whole place may rest. */
const BEARS_ON_PLACE = /^(air|root|leaf|mist)\//;

/**
 * An alarm of a place that goes on without some of its probes. Where it rested on them alone it ends: not because
 * anything returned to normal, but because nothing is judged any more.
 */
export function withoutProbes(record: AlarmRecord, gone: readonly GoneProbe[], nowMs: number): AlarmStep {
  const ids = new Set(gone.map(({ id }) => String(id)));
  const ofPlace = gone.some(({ quantity }) => BEARS_ON_PLACE.test(quantity ?? ''));
  const left = Object.entries(record.conditions).filter(
    ([id]) => !(id === WHOLE_PLACE ? ofPlace : ids.has(id)),
  );
  const conditions = Object.fromEntries(left);
  const facts = factsWithout(record.facts, gone);
  if (left.length === Object.keys(record.conditions).length && facts === record.facts)
    return { record, transition: null };
  const rests = left.some(([, condition]) => isMet(condition)) || (facts !== null && namesProbes(facts));
  if (!isActive(record) || rests) return { record: { ...record, conditions, facts }, transition: null };
  return { record: ended({ ...record, conditions }, nowMs), transition: 'not-judged' };
}

/** The facts stay as they were when it was judged last. */
function ended(record: AlarmRecord, nowMs: number): AlarmRecord {
  return { ...record, state: 'normal', suppressedBy: null, returnedAtMs: nowMs };
}

/** Facts that name probes, without those that are gone; the same facts when they name none of them. */
function factsWithout(facts: AlarmFacts | null, gone: readonly GoneProbe[]): AlarmFacts | null {
  if (facts?.kind === 'no-data') {
    const names = gone.map(({ name }) => name);
    const silent = facts.silent.filter(({ probe }) => {
      const at = names.indexOf(probe);
      // two devices may have probes of one name: each that is gone takes one along
      if (at >= 0) names.splice(at, 1);
      return at < 0;
    });
    return silent.length === facts.silent.length ? facts : { ...facts, silent };
  }
  if (facts?.kind === 'probe-suspect') {
    const names = new Set(gone.map(({ device, name }) => `${device}/${name}`));
    const findings = facts.findings.filter(({ probe }) => !names.has(probe));
    return findings.length === facts.findings.length ? facts : { ...facts, findings };
  }
  return facts;
}

function namesProbes(facts: AlarmFacts): boolean {
  if (facts.kind === 'no-data') return facts.silent.length > 0;
  return facts.kind === 'probe-suspect' && facts.findings.length > 0;
}

/**
 * The alarm once the probes are back: what rested on them is as before, what moved since stays.
 * @param of the alarm before they went, as they left it, and as it is now
 */
export function restoredAlarm(of: {
  readonly before: AlarmRecord;
  readonly after: AlarmRecord;
  readonly now: AlarmRecord;
}): AlarmRecord {
  const { before, after, now } = of;
  const conditions = { ...before.conditions, ...now.conditions };
  const { state, raisedAtMs } = now;
  // raised since by others: then that raising goes on
  if (isActive(before) && state === after.state && raisedAtMs === before.raisedAtMs)
    return { ...before, conditions };
  return { ...now, conditions };
}
