import { z } from 'zod';
import { jsonOf } from '../../json.ts';
import { clockTimeSchema } from './people.ts';

/** When everybody's contact methods are tried, by the wall clock of the installation, and how long a confirmation may take. */
export const weeklyTestSchema = z.strictObject({
  on: z.boolean(),
  /** 1 Monday … 7 Sunday, as ISO 8601 counts */
  weekday: z.number().int().min(1).max(7),
  at: clockTimeSchema,
  /** hours after which a test that was not confirmed is an alarm of low priority */
  confirmWithinH: z.number().int().min(1).max(144),
});
export type WeeklyTest = z.infer<typeof weeklyTestSchema>;

/** What is proposed until somebody sets another: while it is day and people are about. Common practice, no source. */
export const FIRST_WEEKLY_TEST: WeeklyTest = { on: true, weekday: 1, at: '10:00', confirmWithinH: 24 };

/** The weekly test as it is stored; `defaulted` where it could not be read, and what is proposed holds. */
export function readWeeklyTest(text: string): { readonly weekly: WeeklyTest; readonly defaulted: boolean } {
  const read = weeklyTestSchema.safeParse(jsonOf(text));
  return read.success
    ? { weekly: read.data, defaulted: false }
    : { weekly: FIRST_WEEKLY_TEST, defaulted: true };
}

/** One test message to one person by one contact method; times in ms since epoch, `null` when it has not happened. */
export type PathTest = {
  readonly id: number;
  /** of its message, the same at each attempt */
  readonly key: string;
  /** by the clock, or because somebody asked for it */
  readonly cause: 'weekly' | 'asked';
  readonly personId: number;
  readonly wayId: number;
  /** to whom and by which contact method, in words as they were then */
  readonly recipient: string;
  readonly putMs: number;
  readonly confirmByMs: number;
  readonly takenMs: number | null;
  /** why it was not taken so far */
  readonly error: string | null;
  readonly givenUp: boolean;
  readonly confirmedMs: number | null;
};
