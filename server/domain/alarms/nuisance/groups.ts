import { type AlarmPriority, RULES } from '../../../../shared/rules/rules.ts';
import { type AlarmRecord, isActive, isAnnunciated } from '../record.ts';

const RANK: Readonly<Record<AlarmPriority, number>> = { high: 2, medium: 1, low: 0 };
/** Places that stop reporting within this of the first have one cause: power, broker, network. A proposal. */
const SILENT_TOGETHER_MS = 2 * 60_000;

/**
 * Which alarm is announced for this one: the first of its group that is active, announced, and is no less urgent, so that
 * one dead mat is one message.
 * @param others the alarms of its place; for silence those of all places
 * @returns its id, or null when this one is announced itself
 */
export function firstInGroup(
  record: AlarmRecord,
  others: Iterable<AlarmRecord>,
  nowMs: number,
): string | null {
  const { group } = RULES[record.rule];
  if (group === null) return null;
  for (const other of others) {
    if (other.id === record.id || RULES[other.rule].group !== group) continue;
    if (!isActive(other) || !isAnnunciated(other, { nowMs })) continue;
    if (group === 'silence' ? !silentTogether(record, other) : !speaksFor(other, record)) continue;
    return other.id;
  }
  return null;
}

function speaksFor(first: AlarmRecord, later: AlarmRecord): boolean {
  if (first.placeId !== later.placeId || RANK[first.priority] < RANK[later.priority]) return false;
  if (!isEarlier(first, later)) return false;
  return !saysMore(later) || !wasAnsweredBefore(first, later);
}

/**
 * True for an alarm that says more than the first of its group: who has not answered the first is called again at once
 * instead of twice for one harm; who has is notified of it separately.
 */
export function saysMore({ rule }: Pick<AlarmRecord, 'rule'>): boolean {
  return RULES[rule].saysMore === true;
}

/**
 * The alarm that says how much worse it is now than the first message of its group said: one that says more and for which
 * this one is announced, or this one itself where an earlier one of its group is active.
 * @param others all alarms
 */
export function worseNow(record: AlarmRecord, others: Iterable<AlarmRecord>): AlarmRecord | null {
  const { group } = RULES[record.rule];
  if (group === null) return null;
  for (const other of others) {
    const isMate = other.id !== record.id && other.placeId === record.placeId;
    if (!isMate || RULES[other.rule].group !== group || !isActive(other)) continue;
    if (saysMore(record) && isEarlier(other, record)) return record;
    const speaksForIt = other.suppressedBy?.why === 'consequence' && other.suppressedBy.of === record.id;
    if (speaksForIt && saysMore(other)) return other;
  }
  return null;
}

function wasAnsweredBefore(first: AlarmRecord, later: AlarmRecord): boolean {
  const seenMs = first.acknowledgedAtMs;
  return seenMs !== null && seenMs <= (later.raisedAtMs ?? 0);
}

function silentTogether(record: AlarmRecord, other: AlarmRecord): boolean {
  // a place that is silent as a whole covers its own probes; else like covers like
  if (other.rule !== record.rule) return other.rule === 'no-data' && other.placeId === record.placeId;
  if (RANK[other.priority] < RANK[record.priority]) return false;
  const apartMs = (record.raisedAtMs ?? 0) - (other.raisedAtMs ?? 0);
  return isEarlier(other, record) && apartMs <= SILENT_TOGETHER_MS;
}

function isEarlier(a: AlarmRecord, b: AlarmRecord): boolean {
  const [aMs, bMs] = [a.raisedAtMs ?? 0, b.raisedAtMs ?? 0];
  return aMs === bMs ? a.id < b.id : aMs < bMs;
}
