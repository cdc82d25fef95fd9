import type { Alarm } from '../../../../shared/model/alarms/alarm.ts';
import type { Roster } from '../../../../shared/model/people/people.ts';
import type { AlarmWords } from '../../../../shared/words/alarm.ts';
import {
  ASKS_AGAIN,
  type AsksAgain,
  type CallText,
  callText,
  noticeText,
} from '../../../../shared/words/calls.ts';
import { worseNow } from '../../../domain/alarms/nuisance/groups.ts';
import type { AlarmRecord } from '../../../domain/alarms/record.ts';
import type { Call, Calling } from '../../../domain/people/escalation.ts';
import { viewOf } from '../../world/world-view.ts';
import type { NotifyContext } from '../context.ts';

export type CallOf = {
  readonly record: AlarmRecord;
  readonly roster: Roster;
  readonly calling: Calling;
  /** the same before these calls */
  readonly before: Calling;
  readonly mutedMethods: readonly number[];
  /** where messages of this moment go already */
  readonly addressed: Set<string>;
};

/** What a message to a person says: what is new since the last one first. */
export function textOf(call: Call, of: CallOf, context: NotifyContext): CallText {
  const { record, roster, calling, before } = of;
  const alarm = viewOf(record, context.world);
  if (call.why === 'acknowledged' || call.why === 'returned')
    return noticeText(alarm, call.why, readerOf(context));
  const others = calling.called
    .filter(({ personId }) => personId !== call.personId)
    .flatMap(({ personId }) => roster.people.find(({ id }) => id === personId)?.name ?? []);
  const knows = before.raisedMs === record.raisedAtMs && before.notified.includes(call.personId);
  const news = {
    ...harmNews(record, context),
    unansweredSinceMs: call.why === 'repeated' ? calling.askingSinceMs : null,
    again: call.why === 'raised' && knows ? asksAgain(record, context) : null,
    before: others,
  };
  return callText(alarm, news, readerOf(context));
}

/** What a message to the installation's own webhook says. */
export function houseText(alarm: Alarm, transition: string, context: NotifyContext): CallText {
  if (transition === 'returned') return noticeText(alarm, transition, readerOf(context));
  const record = context.world.alarms.get(alarm.id);
  const news = record ? harmNews(record, context) : { worse: null, stake: null };
  return callText(alarm, { ...news, unansweredSinceMs: null, again: null, before: [] }, readerOf(context));
}

/** What an alarm says now, what became worse first. */
export function wordsNow(record: AlarmRecord, context: NotifyContext): AlarmWords {
  return houseText(viewOf(record, context.world), record.state, context).words;
}

/** What became worse: an alarm that says more, and why harm has raised the priority. */
function harmNews(record: AlarmRecord, { world, settings }: NotifyContext) {
  const worse = worseNow(record, world.alarms.values());
  const isRaised = record.priority === 'high' && record.state === 'unacknowledged';
  return {
    worse: worse && viewOf(worse, world),
    stake: isRaised ? settings.stakeNow(record) : null,
  };
}

/** Why it asks again, where its newest event says so. */
function asksAgain({ id }: AlarmRecord, { store }: NotifyContext): AsksAgain | null {
  const [newest] = store.alarms.events(id);
  return ASKS_AGAIN.find((one) => one === newest?.transition) ?? null;
}

function readerOf({ settings, nowMs }: NotifyContext) {
  return { unit: 'C', timeZone: settings.timeZone, nowMs } as const;
}
