import { instantOfWall } from '../../common/time.ts';
import { GRADES, LOSS_CAUSES } from '../words.ts';

/** What the form of a count holds, as typed. */
export type CountValues = {
  readonly at: string;
  readonly counted: string;
  readonly rooted: string;
  readonly callused: string;
  /** by cause */
  readonly lost: Readonly<Record<string, string>>;
  readonly potted: string;
  /** by grade */
  readonly grades: Readonly<Record<string, string>>;
};

type CountBody = {
  readonly at: string;
  readonly looked: number;
  readonly rooted: number;
  readonly callused?: number;
  readonly lost?: { cause: string; n: number }[];
  readonly potted?: number;
  readonly grades?: { grade: string; n: number }[];
};
type Read =
  | { readonly body: CountBody; readonly errors: null }
  | { readonly body: null; readonly errors: Readonly<Record<string, string>> };

/** A whole number from 0, null for an empty field, and NaN for anything else. */
function wholeOf(typed: string): number | null {
  const text = typed.trim();
  return text === '' ? null : /^\d{1,7}$/.test(text) ? Number(text) : Number.NaN;
}

/**
 * The inputs as a count to enter, or what is wrong with them.
 * @param at.nowMs the present, ms since epoch
 */
export function countOf(values: CountValues, at: { nowMs: number; timeZone: string }): Read {
  const atMs = instantOfWall({ wall: values.at, timeZone: at.timeZone });
  const [counted, rooted, callused] = [values.counted, values.rooted, values.callused].map(wholeOf);
  const lost = LOSS_CAUSES.flatMap((cause) => {
    const n = wholeOf(values.lost[cause] ?? '');
    return n === null || n === 0 ? [] : [{ cause, n }];
  });
  const gone = sumOf(lost);
  const { potted, grades, graded } = pottedOf(values);
  const errors: Record<string, string> = {};
  if (atMs === null) errors['at'] = 'when were they counted?';
  else if (atMs > at.nowMs) errors['at'] = 'that is still to come';
  if (!counted) errors['counted'] = 'how many were counted? A whole number from 1.';
  if (rooted === null || !isWhole(rooted)) errors['rooted'] = 'how many of them had roots? 0 or more.';
  if (!isWhole(callused ?? 0)) errors['callused'] = 'a whole number';
  if (!isWhole(gone)) errors['lost'] = 'whole numbers';
  if (!isWhole(potted ?? 0)) errors['potted'] = 'a whole number';
  if (!isWhole(graded)) errors['grades'] = 'whole numbers';
  else if (graded > (potted ?? 0)) errors['grades'] = 'more than were potted on';
  if (counted && isWhole(counted)) {
    if ((potted ?? 0) + gone > counted) errors['potted'] ??= 'potted on and lost are more than were counted';
    if ((rooted ?? 0) + gone > counted) errors['rooted'] ??= 'rooted and lost are more than were counted';
    if ((callused ?? 0) > counted) errors['callused'] ??= 'more than were counted';
  }
  if (Object.keys(errors).length > 0 || !counted || atMs === null) return { body: null, errors };
  const body = {
    at: new Date(atMs).toISOString(),
    looked: counted,
    rooted: rooted ?? 0,
    ...(callused == null ? {} : { callused }),
    ...(lost.length === 0 ? {} : { lost }),
    ...(potted === null ? {} : { potted }),
    ...(grades.length === 0 ? {} : { grades }),
  };
  return { body, errors: null };
}

function sumOf(of: readonly { readonly n: number }[]): number {
  return of.reduce((sum, { n }) => sum + n, 0);
}

/** What was potted on; where only grades were typed, as many as they are together. */
function pottedOf(values: CountValues) {
  const grades = GRADES.flatMap((grade) => {
    const n = wholeOf(values.grades[grade] ?? '');
    return n === null || n === 0 ? [] : [{ grade, n }];
  });
  const graded = sumOf(grades);
  return { potted: wholeOf(values.potted) ?? (graded > 0 ? graded : null), grades, graded };
}

function isWhole(n: number | undefined): boolean {
  return Number.isInteger(n);
}
