import type { Condition } from '../../../domain/alarms/condition.ts';
import type { AlarmRecord, Chatter } from '../../../domain/alarms/record.ts';
import { type Calling, NOT_CALLED } from '../../../domain/people/escalation.ts';

// The columns `body` keep the spelling they were first written with, so that every database stays readable.

type StoredCondition = Omit<Condition, 'elapsedMs'> & { readonly spentMs: number };
type Held = NonNullable<Chatter['held']>;
type StoredChatter = Omit<Chatter, 'held'> & {
  readonly held: (Omit<Held, 'announcedMs'> & { readonly toldMs: number }) | null;
};

/** An alarm as written in the column `alarm.body`. */
export type StoredAlarm = Omit<AlarmRecord, 'conditions' | 'suppressedBy' | 'chatter'> & {
  readonly conditions: Readonly<Record<string, StoredCondition>>;
  readonly byDesign: AlarmRecord['suppressedBy'];
  readonly chatter?: StoredChatter | null;
};

/** Who was called about an alarm as written in the column `calling.body`. */
export type StoredCalling = Omit<
  Calling,
  'notified' | 'notifiedOfReturn' | 'toNotifyOfAcknowledgement' | 'onMorningSheet'
> & {
  readonly told: Calling['notified'];
  readonly toldOfReturn: Calling['notifiedOfReturn'];
  readonly toTellOfTaking: Calling['toNotifyOfAcknowledgement'];
  readonly onSheet: Calling['onMorningSheet'];
};

/** The text of the column for an alarm. */
export function alarmBody({ suppressedBy, conditions, chatter, ...rest }: AlarmRecord): string {
  const stored: StoredAlarm = {
    ...rest,
    conditions: eachCondition(conditions, ({ elapsedMs, ...more }) => ({ ...more, spentMs: elapsedMs })),
    byDesign: suppressedBy,
    ...(chatter === undefined ? {} : { chatter: chatter && storedChatter(chatter) }),
  };
  return JSON.stringify(stored);
}

/** The alarm a column holds; it was written by `alarmBody` alone, so its shape is ours. */
export function alarmOfBody(body: string): AlarmRecord {
  const { byDesign, conditions = {}, chatter, ...rest } = JSON.parse(body) as StoredAlarm;
  return {
    ...rest,
    conditions: eachCondition(conditions, ({ spentMs, ...more }) => ({ ...more, elapsedMs: spentMs })),
    suppressedBy: byDesign,
    ...(chatter === undefined ? {} : { chatter: chatter && readChatter(chatter) }),
  };
}

function eachCondition<A, B>(
  conditions: Readonly<Record<string, A>>,
  change: (condition: A) => B,
): Readonly<Record<string, B>> {
  return Object.fromEntries(Object.entries(conditions).map(([source, one]) => [source, change(one)]));
}

function storedChatter({ held, ...rest }: Chatter): StoredChatter {
  if (held === null) return { ...rest, held };
  const { announcedMs, ...more } = held;
  return { ...rest, held: { ...more, toldMs: announcedMs } };
}

function readChatter({ held, ...rest }: StoredChatter): Chatter {
  if (held === null) return { ...rest, held };
  const { toldMs, ...more } = held;
  return { ...rest, held: { ...more, announcedMs: toldMs } };
}

/** The text of the column for who was called. */
export function callingBody(calling: Calling): string {
  const { notified, notifiedOfReturn, toNotifyOfAcknowledgement, onMorningSheet, ...rest } = calling;
  const stored: StoredCalling = {
    ...rest,
    told: notified,
    toldOfReturn: notifiedOfReturn,
    toTellOfTaking: toNotifyOfAcknowledgement,
    onSheet: onMorningSheet,
  };
  return JSON.stringify(stored);
}

/** Who was called, as a column holds it; one written by an earlier version lacks what came since. */
export function callingOfBody(body: string): Calling {
  const { told, toldOfReturn, toTellOfTaking, onSheet, ...rest } = JSON.parse(body) as Partial<StoredCalling>;
  return {
    ...NOT_CALLED,
    ...rest,
    notified: told ?? NOT_CALLED.notified,
    notifiedOfReturn: toldOfReturn ?? NOT_CALLED.notifiedOfReturn,
    toNotifyOfAcknowledgement: toTellOfTaking ?? NOT_CALLED.toNotifyOfAcknowledgement,
    onMorningSheet: onSheet ?? NOT_CALLED.onMorningSheet,
  };
}
