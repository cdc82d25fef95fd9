import { RULES } from '../../../shared/rules/rules.ts';
import { asCalled } from '../../domain/alarms/nuisance/chatter.ts';
import { floodAt } from '../../domain/alarms/nuisance/flood.ts';
import type { AlarmRecord } from '../../domain/alarms/record.ts';
import { type Call, type Calling, callsNow, NOT_CALLED } from '../../domain/people/escalation.ts';
import { isDemo } from '../world/is-demo.ts';
import { callPeople, type NotifyContext, putCall } from './calling.ts';
import { putDigest } from './digest.ts';

const MINUTE_MS = 60_000;
/** What is gathered goes out in the first seconds of a minute. */
const GOES_OUT_FOR_MS = 5_000;

/** Calls people about an alarm now; in a flood those of medium priority wait for the minute, and go out as one. */
export function callOrCollect(record: AlarmRecord, context: NotifyContext): void {
  const called = asCalled(record);
  if (isForDigest(called, context)) wait(called, context);
  else callPeople(called, context);
}

/** Goes on with alarms that are due: each by itself, and in a flood those of medium priority as one message a person. */
export function callDue(records: readonly AlarmRecord[], context: NotifyContext): void {
  const called = records.map(asCalled);
  const collected = called.filter((record) => isForDigest(record, context));
  for (const record of called) if (!collected.includes(record)) callPeople(record, context);
  if (context.nowMs % MINUTE_MS >= GOES_OUT_FOR_MS) for (const record of collected) wait(record, context);
  else sendDigests(collected, context);
}

/** High priority always goes out by itself, low priority waits for the morning sheet in any case. */
export function isForDigest(record: AlarmRecord, { world, nowMs }: NotifyContext): boolean {
  // contact methods that fail must not carry the message that they do
  if (record.priority !== 'medium' || RULES[record.rule].alone || isDemo(record, world)) return false;
  // what was held back in the last minute of a flood still goes out as one
  const { annunciated } = world;
  return floodAt(annunciated, nowMs) !== null || floodAt(annunciated, nowMs - MINUTE_MS) !== null;
}

/** When what is gathered goes out next, ms since epoch. */
export function nextDigestMs(nowMs: number): number {
  return (Math.floor(nowMs / MINUTE_MS) + 1) * MINUTE_MS;
}

function wait(record: AlarmRecord, { store, nowMs }: NotifyContext): void {
  store.people.saveCalling(record.id, store.people.calling(record.id) ?? NOT_CALLED, nextDigestMs(nowMs));
}

type PendingCall = {
  readonly record: AlarmRecord;
  readonly call: Call;
  readonly calling: Calling;
  readonly before: Calling;
};

function sendDigests(records: readonly AlarmRecord[], context: NotifyContext): void {
  const { store, settings, nowMs } = context;
  const roster = store.people.roster();
  const pending = records.flatMap((record): PendingCall[] => {
    const before = store.people.calling(record.id) ?? NOT_CALLED;
    const now = callsNow(before, { record, roster, nowMs, zone: settings.timeZone });
    store.people.saveCalling(record.id, now.calling, now.checkAgainMs);
    return now.calls.map((call) => ({ record, call, calling: now.calling, before }));
  });
  for (const person of roster.people) {
    const own = pending.filter(({ call }) => call.personId === person.id);
    const acknowledged = own.filter(({ call }) => call.why === 'acknowledged');
    for (const group of [acknowledged, own.filter((one) => !acknowledged.includes(one))]) {
      const [only] = group;
      if (only && group.length === 1)
        putCall(only.call, { ...only, roster, mutedMethods: [], addressed: new Set() }, context);
      if (group.length > 1)
        putDigest(
          person,
          { records: group.map(({ record }) => record), acknowledged: group === acknowledged },
          context,
        );
    }
  }
}
