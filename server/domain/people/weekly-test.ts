import type { PathTest, WeeklyTest } from '../../../shared/model/people/weekly-test.ts';
import { instantOf, localDays } from '../calendar/days.ts';

const DAY_MS = 86_400_000;
/** Past this a test is forgotten: eight weeks can be looked back on. */
export const KEEP_TESTS_MS = 60 * DAY_MS;
/** How long the link of a test works: late is better than never. Proposal of the project. */
export const TEST_LINK_LASTS_MS = 7 * DAY_MS;

type When = {
  readonly weekly: WeeklyTest;
  /** ms since epoch */
  readonly nowMs: number;
  /** IANA time zone of the installation */
  readonly zone: string;
};

/**
 * Whether the weekly test is to be sent now: its hour has come since it was last looked after. One that was missed, as
 * the machine was off, is made up for once, however many were missed.
 * @param when the setting, the time in ms since epoch and the zone
 * @param sinceMs until when tests are looked after already, ms since epoch
 * @returns true when it is due
 */
export function weeklyTestDue({ sinceMs, ...when }: When & { readonly sinceMs: number }): boolean {
  const last = hoursAround(when).findLast((atMs) => atMs <= when.nowMs);
  return when.weekly.on && last !== undefined && last > sinceMs;
}

/**
 * When the next weekly test is sent.
 * @param when the setting, the time in ms since epoch and the zone
 * @returns ms since epoch, or null while it is off
 */
export function nextWeeklyTestMs(when: When): number | null {
  return (when.weekly.on ? hoursAround(when).find((atMs) => atMs > when.nowMs) : null) ?? null;
}

/** The moments of the weekly test within eight days of a time, ascending; ms since epoch. */
function hoursAround({ weekly, nowMs, zone }: When): number[] {
  return localDays({ fromMs: nowMs - 8 * DAY_MS, toMs: nowMs + 8 * DAY_MS, zone })
    .filter(({ date }) => isoWeekday(date) === weekly.weekday)
    .map((day) => instantOf({ day, clockTime: weekly.at, zone }));
}

/** 1 Monday … 7 Sunday. @param date YYYY-MM-DD */
function isoWeekday(date: string): number {
  return new Date(`${date}T00:00Z`).getUTCDay() || 7;
}

/**
 * The contact methods whose newest test that counts was not confirmed in time. A weekly one counts once its time is up, any one
 * once it is confirmed: what somebody asked for and did not confirm is no alarm.
 * @param tests of all contact methods, in any order
 * @param nowMs ms since epoch
 * @returns one test a contact method, by the contact method's number
 */
export function unconfirmedTests(tests: readonly PathTest[], nowMs: number): PathTest[] {
  const newest = new Map<number, PathTest>();
  for (const test of tests) {
    const counts = test.confirmedMs !== null || (test.cause === 'weekly' && test.confirmByMs <= nowMs);
    if (counts && test.id > (newest.get(test.wayId)?.id ?? 0)) newest.set(test.wayId, test);
  }
  return [...newest.values()]
    .filter(({ confirmedMs }) => confirmedMs === null)
    .sort((a, b) => a.wayId - b.wayId);
}

/** What the link of a test says as a text to be signed: the name of its message, and until when, ms since epoch. */
export function testLinkText({ key, expiresMs }: TestLink): string {
  return JSON.stringify(['test', key, expiresMs]);
}

export type TestLink = { readonly key: string; readonly expiresMs: number };

/** The link of a signed text, or null when it is none of a test. @param text null when the signature did not fit */
export function testLinkOf(text: string | null): TestLink | null {
  if (text === null) return null;
  const [kind, key, expiresMs, ...rest] = JSON.parse(text) as unknown[];
  const fits = kind === 'test' && typeof key === 'string' && typeof expiresMs === 'number';
  return fits && rest.length === 0 ? { key, expiresMs } : null;
}
