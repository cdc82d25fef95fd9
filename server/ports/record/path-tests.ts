import type { PathTest, WeeklyTest } from '../../../shared/model/people/weekly-test.ts';

export type NewPathTest = Omit<PathTest, 'id' | 'takenMs' | 'error' | 'givenUp' | 'confirmedMs'>;

/** The result of an attempt to hand a test message over: delivered, or why not; `givenUp`: no other is made. */
type TestDelivery = Pick<PathTest, 'key' | 'takenMs' | 'error' | 'givenUp'>;

/** The weekly test, and every test message with its result. */
export type PathTests = {
  /** As somebody set it; null while nobody has. */
  weekly(): WeeklyTest | null;
  setWeekly(weekly: WeeklyTest, nowMs: number): void;
  /** Up to when weekly tests have been dealt with, ms since epoch; null before the first check. */
  sinceMs(): number | null;
  markChecked(nowMs: number): void;
  /** Newest first. */
  all(): PathTest[];
  add(test: NewPathTest): PathTest;
  /** @returns null when there is no test of the message */
  byKey(key: string): PathTest | null;
  /** Nothing when the message is no test. */
  noteDelivery(delivery: TestDelivery): void;
  confirm(id: number, atMs: number): void;
  /** Forgets the tests of a contact method that was changed or removed. */
  forgetContactMethod(wayId: number): void;
  /** Forgets what was sent before. */
  forgetBefore(atMs: number): void;
};
