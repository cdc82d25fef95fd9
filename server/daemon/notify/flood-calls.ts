import { RULES } from '../../../shared/rules/rules.ts';
import { asCalled } from '../../domain/alarms/chatter.ts';
import { floodAt } from '../../domain/alarms/flood.ts';
import type { AlarmRecord } from '../../domain/alarms/record.ts';
import { type Call, type Calling, callsNow, NOT_CALLED } from '../../domain/people/ladder.ts';
import { isOfDemo } from '../world/is-demo.ts';
import { callPeople, putCall, type TellContext } from './calling.ts';
import { putGathered } from './digest.ts';

const MINUTE_MS = 60_000;
/** What is gathered goes out in the first seconds of a minute. */
const GOES_OUT_FOR_MS = 5_000;

/** Calls people about an alarm now; in a flood those of medium priority wait for the minute, and go out as one. */
export function callOrGather(record: AlarmRecord, context: TellContext): void {
  const called = asCalled(record);
  if (isGathered(called, context)) wait(called, context);
  else callPeople(called, context);
}

/** Goes on with alarms that are due: each by itself, and in a flood those of medium priority as one message a person. */
export function callDue(records: readonly AlarmRecord[], context: TellContext): void {
  const called = records.map(asCalled);
  const gathered = called.filter((record) => isGathered(record, context));
  for (const record of called) if (!gathered.includes(record)) callPeople(record, context);
  if (context.nowMs % MINUTE_MS >= GOES_OUT_FOR_MS) for (const record of gathered) wait(record, context);
  else gather(gathered, context);
}

/** High priority always goes out by itself, low priority waits for the morning sheet in any case. */
function isGathered(record: AlarmRecord, { world, nowMs }: TellContext): boolean {
  // ways that fail must not carry the word that they do
  if (record.priority !== 'medium' || RULES[record.rule].alone || isOfDemo(record, world)) return false;
  // what was held back in the last minute of a flood still goes out as one
  const { annunciated } = world;
  return floodAt(annunciated, nowMs) !== null || floodAt(annunciated, nowMs - MINUTE_MS) !== null;
}

function wait(record: AlarmRecord, { store, nowMs }: TellContext): void {
  const nextMinuteMs = (Math.floor(nowMs / MINUTE_MS) + 1) * MINUTE_MS;
  store.people.saveCalling(record.id, store.people.calling(record.id) ?? NOT_CALLED, nextMinuteMs);
}

type Asked = { readonly record: AlarmRecord; readonly call: Call; readonly calling: Calling };

function gather(records: readonly AlarmRecord[], context: TellContext): void {
  const { store, settings, nowMs } = context;
  const roster = store.people.roster();
  const asked = records.flatMap((record): Asked[] => {
    const before = store.people.calling(record.id) ?? NOT_CALLED;
    const now = callsNow(before, { record, roster, nowMs, zone: settings.timeZone });
    store.people.saveCalling(record.id, now.calling, now.lookAgainMs);
    return now.calls.map((call) => ({ record, call, calling: now.calling }));
  });
  for (const person of roster.people) {
    const own = asked.filter(({ call }) => call.personId === person.id);
    const taken = own.filter(({ call }) => call.why === 'acknowledged');
    for (const together of [taken, own.filter((one) => !taken.includes(one))]) {
      const [only] = together;
      if (only && together.length === 1)
        putCall(only.call, { ...only, roster, mutedWays: [], addressed: new Set() }, context);
      if (together.length > 1)
        putGathered(
          person,
          { records: together.map(({ record }) => record), taken: together === taken },
          context,
        );
    }
  }
}
