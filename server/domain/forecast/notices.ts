const MIN_MS = 60_000;

/** What counts as having come true, ms. */
type NoticeTerms = {
  /** what was expected comes within this: a forecast reaches two hours, and its bound beyond; a night is longer */
  readonly comesWithinMs: number;
  /** a notice later than this before it comes was none */
  readonly leastLeadMs: number;
  /** what comes again after less than this had not been away */
  readonly onceWithinMs: number;
};

/** The terms of each early notice. Proposals of the project. */
export const NOTICE_TERMS = {
  'ceiling-expected': { comesWithinMs: 150 * MIN_MS, leastLeadMs: 5 * MIN_MS, onceWithinMs: 60 * MIN_MS },
  'root-floor-expected': {
    comesWithinMs: 960 * MIN_MS,
    leastLeadMs: 30 * MIN_MS,
    onceWithinMs: 480 * MIN_MS,
  },
  'film-drying-expected': { comesWithinMs: 60 * MIN_MS, leastLeadMs: MIN_MS, onceWithinMs: 60 * MIN_MS },
} as const satisfies Record<string, NoticeTerms>;
export const COMES_TRUE_WITHIN_MS = NOTICE_TERMS['ceiling-expected'].comesWithinMs;
/** Days over which notices are counted, and how many must have been decided before they are held back. */
export const NOTICE_DAYS = 28;
const LEAST_DECIDED = 4;
/** A place where more than this share of notices was wrong is given none. */
const MOST_WRONG = 0.25;

/** An early notice; `answered` where somebody acknowledged it, and may have acted on it. */
export type Notice = { readonly atMs: number; readonly answered: boolean };

/** How the early notices of a place did. */
export type NoticeRecord = {
  /** it came as it said */
  readonly hits: number;
  /** it came without a notice early enough before */
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
 * @param crossingsMs when what is expected came, ascending, ms since epoch
 * @param nowMs what is still open now is not counted, ms since epoch
 * @param terms what counts as come true; those of the ceiling unless given
 * @returns how many came true, failed to come, or were wrong; leads in min
 * @example noticeRecordOf([{ atMs: 0, answered: false }], [1_800_000], 9_999_999).medianLeadMin // 30
 */
export function noticeRecordOf(
  notices: readonly Notice[],
  crossingsMs: readonly number[],
  nowMs: number,
  terms: NoticeTerms = NOTICE_TERMS['ceiling-expected'],
): NoticeRecord {
  const { comesWithinMs, leastLeadMs, onceWithinMs } = terms;
  const crossings = crossingsMs.filter(
    (ms, n) => n === 0 || ms - (crossingsMs[n - 1] as number) > onceWithinMs,
  );
  const leads: number[] = [];
  let misses = 0;
  const used = new Set<Notice>();
  for (const crossingMs of crossings) {
    const before = notices.filter(
      ({ atMs }) => atMs <= crossingMs - leastLeadMs && crossingMs - atMs <= comesWithinMs,
    );
    const [first] = before;
    for (const one of before) used.add(one);
    if (first) leads.push((crossingMs - first.atMs) / 60_000);
    else misses++;
  }
  const decided = notices.filter((one) => !used.has(one) && nowMs - one.atMs > comesWithinMs);
  const late = (one: Notice) => crossings.some((ms) => ms >= one.atMs && ms - one.atMs < leastLeadMs);
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
