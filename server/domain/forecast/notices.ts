/** A notice that comes true does so within this, ms: a forecast reaches two hours, and its bound beyond. */
export const COMES_TRUE_WITHIN_MS = 150 * 60_000;
/** A notice that comes later than this before the air is there was none, ms. */
const LEAST_LEAD_MS = 5 * 60_000;
/** Air that comes back below its ceiling for less than this has not been away, ms. */
const ONE_CROSSING_MS = 60 * 60_000;
/** Days over which notices are counted, and how many must have been decided before they are held back. */
export const NOTICE_DAYS = 28;
const LEAST_DECIDED = 4;
/** A place where more than this share of notices was wrong is given none. */
const MOST_WRONG = 0.25;

/** An early notice; `answered` where somebody acknowledged it, and may have acted on it. */
export type Notice = { readonly atMs: number; readonly answered: boolean };

/** How the early notices of a place did. */
export type NoticeRecord = {
  /** the air went over its ceiling as it said */
  readonly hits: number;
  /** the air went over its ceiling without a notice five minutes before */
  readonly misses: number;
  /** nothing came of it, and nobody had answered it */
  readonly wrong: number;
  /** nothing came of it, and somebody had answered it: whether it was wrong nobody knows */
  readonly averted: number;
  readonly medianLeadMin: number | null;
};

/**
 * Counts early notices against what came.
 * @param notices when each was given, ascending, ms since epoch
 * @param crossingsMs when the air went over its ceiling, ascending, ms since epoch
 * @param nowMs what is still open now is not counted, ms since epoch
 * @returns how many came true, failed to come, or were wrong; leads in min
 * @example noticeRecordOf([{ atMs: 0, answered: false }], [1_800_000], 9_999_999).medianLeadMin // 30
 */
export function noticeRecordOf(
  notices: readonly Notice[],
  crossingsMs: readonly number[],
  nowMs: number,
): NoticeRecord {
  const crossings = crossingsMs.filter(
    (ms, n) => n === 0 || ms - (crossingsMs[n - 1] as number) > ONE_CROSSING_MS,
  );
  const leads: number[] = [];
  let misses = 0;
  const used = new Set<Notice>();
  for (const crossingMs of crossings) {
    const before = notices.filter(
      ({ atMs }) => atMs <= crossingMs - LEAST_LEAD_MS && crossingMs - atMs <= COMES_TRUE_WITHIN_MS,
    );
    const [first] = before;
    for (const one of before) used.add(one);
    if (first) leads.push((crossingMs - first.atMs) / 60_000);
    else misses++;
  }
  const decided = notices.filter((one) => !used.has(one) && nowMs - one.atMs > COMES_TRUE_WITHIN_MS);
  const late = (one: Notice) => crossings.some((ms) => ms >= one.atMs && ms - one.atMs < LEAST_LEAD_MS);
  const averted = decided.filter((one) => one.answered).length;
  const wrong = decided.filter((one) => !one.answered && !late(one)).length;
  return { hits: leads.length, misses, wrong, averted, medianLeadMin: median(leads) };
}

/**
 * Whether the notices of a place are held back, as more than one in four was wrong.
 * @example areHeldBack({ hits: 2, misses: 0, wrong: 2, averted: 0, medianLeadMin: 40 }) // true
 */
export function areHeldBack({ hits, wrong }: NoticeRecord): boolean {
  const decided = hits + wrong;
  return decided >= LEAST_DECIDED && wrong > MOST_WRONG * decided;
}

function median(values: readonly number[]): number | null {
  const sorted = values.toSorted((a, b) => a - b);
  const half = sorted.length >> 1;
  if (sorted.length === 0) return null;
  return sorted.length % 2 === 1
    ? (sorted[half] as number)
    : ((sorted[half - 1] as number) + (sorted[half] as number)) / 2;
}

/** A notice is given when the forecast reaches the ceiling within this, ms: later ones are wrong too often. */
export const NOTICE_WITHIN_MS = 75 * 60_000;

type Expected = { readonly reachedMs: number | null; readonly earliestMs: number | null };

/**
 * Whether an early notice is given, or goes on: it is given where the forecast reaches the ceiling soon, and goes on as long
 * as the upper bound does.
 * @param isActive whether one is active
 * @param nowMs ms since epoch
 * @example isExpected({ reachedMs: 1_800_000, earliestMs: 900_000 }, { isActive: false, nowMs: 0 }) // true
 */
export function isExpected(
  { reachedMs, earliestMs }: Expected,
  { isActive, nowMs }: { readonly isActive: boolean; readonly nowMs: number },
): boolean {
  if (reachedMs !== null && reachedMs <= nowMs) return false;
  if (isActive) return earliestMs !== null;
  return reachedMs !== null && reachedMs - nowMs <= NOTICE_WITHIN_MS;
}
