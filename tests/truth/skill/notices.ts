import { crossingOf } from '../../../server/domain/forecast/crossing.ts';
import { type History, STEP_MS, STEPS_A_DAY } from '../../../server/domain/forecast/history.ts';
import {
  areHeldBack,
  isExpected,
  NOTICE_DAYS,
  type Notice,
  type NoticeRecord,
  noticeRecordOf,
} from '../../../server/domain/forecast/notices.ts';
import type { Listener } from './score.ts';

/** The open record has no ceilings: the warmest tenth of the days before the first that is scored lies above this one. */
const BELOW_CEILING = 0.9;
const LEAST_CEILING_DAYS = 3;

/**
 * Gives the early notices that a place with a ceiling would have been given, forecast by forecast: from the same functions
 * that the alarm rests on, held back where too many were wrong up to then.
 * @param history what the air did
 * @param firstDay day from which on forecasts come
 */
export function noticesGiven(history: History, firstDay: number) {
  const days = Math.max(firstDay, LEAST_CEILING_DAYS);
  const before = history.values
    .slice(0, days * STEPS_A_DAY)
    .filter((value) => !Number.isNaN(value))
    .sort();
  const ceilingC = before[Math.floor(BELOW_CEILING * before.length)] as number;
  const crossingsMs = crossings(history, ceilingC).filter(
    (ms) => ms >= history.startMs + firstDay * STEPS_A_DAY * STEP_MS,
  );
  const notices: Notice[] = [];
  let isActive = false;
  const recordAt = (nowMs: number): NoticeRecord => {
    const sinceMs = nowMs - NOTICE_DAYS * STEPS_A_DAY * STEP_MS;
    const known = (ms: number) => ms >= sinceMs && ms <= nowMs;
    return noticeRecordOf(
      notices.filter(({ atMs }) => known(atMs)),
      crossingsMs.filter(known),
      nowMs,
    );
  };
  const listen: Listener = ({ index, points, shown }) => {
    const nowMs = history.startMs + index * STEP_MS;
    const start = { tMs: nowMs, value: history.values[index] as number };
    const crossing = crossingOf(points, { start, limitAt: () => ceilingC, sense: 'above' });
    const due = shown && isExpected(crossing, { isActive, nowMs }) && !areHeldBack(recordAt(nowMs));
    if (due && !isActive) notices.push({ atMs: nowMs, answered: false });
    isActive = due;
  };
  const endMs = history.startMs + history.values.length * STEP_MS;
  const outcome = () => ({ ceilingC, record: noticeRecordOf(notices, crossingsMs, endMs) });
  return { listen, outcome };
}

/** When the air went over a ceiling, on the straight lines between readings, ms since epoch. */
function crossings({ values, startMs }: History, ceilingC: number): number[] {
  const found: number[] = [];
  for (let n = 1; n < values.length; n++) {
    const [from, to] = [values[n - 1] as number, values[n] as number];
    if (from <= ceilingC && to > ceilingC)
      found.push(startMs + (n - 1 + (ceilingC - from) / (to - from)) * STEP_MS);
  }
  return found;
}
