import type { AlarmEvent } from '../../../../shared/model/alarms/alarm.ts';
import type { Place } from '../../../../shared/model/place.ts';
import { NOTICE_RULES, type NoticeRule } from '../../../../shared/rules/ids.ts';
import type { EarlyNotices } from '../../../../shared/wire/places/forecast.ts';
import { alarmId } from '../../../domain/alarms/record.ts';
import {
  areHeldBack,
  NOTICE_DAYS,
  NOTICE_TERMS,
  type Notice,
  noticeRecordOf,
} from '../../../domain/forecast/notices.ts';
import type { Clock } from '../../../ports.ts';
import type { RecordContext } from '../../world/records.ts';
import { DAY_MS } from '../day-steps.ts';

/** What is counted is used for so long, ms. */
const COUNTED_MS = 10 * 60_000;
const MOST_EVENTS = 20_000;

/** What came of what was expected, known up to a time; ms since epoch. */
type Came = { readonly untilMs: number; readonly atMs: readonly number[] };
/** What came of it by the record, where no alarm tells. */
export type CameOf = (placeId: string, rule: Exclude<NoticeRule, 'ceiling-expected'>) => Came | null;

/** How the notices of a place did, and how many notices there were and times it came. */
type Counted = { readonly of: EarlyNotices; readonly count: number };

/** How the early notices of each place did: those given, by the history of its alarms, against what came. */
export function createCounted(context: RecordContext & { readonly clock: Clock }, cameOf: CameOf) {
  const kept = new Map<string, { readonly atMs: number; readonly counted: readonly Counted[] }>();
  return (place: Place): readonly Counted[] => {
    const nowMs = context.clock.nowMs();
    const known = kept.get(place.id);
    const ageMs = nowMs - (known?.atMs ?? Number.NEGATIVE_INFINITY);
    if (known && ageMs >= 0 && ageMs < COUNTED_MS) return known.counted;
    for (const id of kept.keys()) if (!context.world.places.has(id)) kept.delete(id);
    const counted = countAll(place, { nowMs, cameOf }, context);
    kept.set(place.id, { atMs: nowMs, counted });
    return counted;
  };
}

function countAll(
  place: Place,
  { nowMs, cameOf }: { readonly nowMs: number; readonly cameOf: CameOf },
  { store }: RecordContext,
): Counted[] {
  const sinceMs = nowMs - NOTICE_DAYS * DAY_MS;
  const span = { fromMs: sinceMs, toMs: nowMs + 1 };
  const events = store.alarms.eventsOfPlace({ placeId: place.id, ...span, afterId: 0, limit: MOST_EVENTS });
  return NOTICE_RULES.map((rule) => {
    const notices = noticesIn(events, alarmId({ placeId: place.id, rule }));
    const came = rule === 'ceiling-expected' ? overCeiling(place, events, nowMs) : cameOf(place.id, rule);
    const untilMs = came?.untilMs ?? sinceMs;
    const atMs = (came?.atMs ?? []).filter((ms) => ms >= sinceMs);
    const given = notices.filter((notice) => notice.atMs <= untilMs);
    const record = noticeRecordOf(given, atMs, untilMs, NOTICE_TERMS[rule]);
    const named = { placeId: place.id, name: place.name, rule, days: NOTICE_DAYS };
    return {
      of: { ...named, ...record, heldBack: areHeldBack(record) },
      count: notices.length + atMs.length,
    };
  });
}

function noticesIn(events: readonly AlarmEvent[], id: string): Notice[] {
  const notices: Notice[] = [];
  for (const { alarmId: of, transition, atMs } of events) {
    const last = notices.at(-1);
    if (of !== id) continue;
    if (transition === 'raised') notices.push({ atMs, answered: false });
    else if (transition === 'acknowledged' && last) notices[notices.length - 1] = { ...last, answered: true };
  }
  return notices;
}

function overCeiling({ id: placeId }: Place, events: readonly AlarmEvent[], nowMs: number): Came {
  const id = alarmId({ placeId, rule: 'air-over-ceiling' });
  const raised = events.filter(({ alarmId: of, transition }) => of === id && transition === 'raised');
  return { untilMs: nowMs, atMs: raised.map(({ atMs }) => atMs) };
}
