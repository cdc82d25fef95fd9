import fc from 'fast-check';
import { expect, test } from 'vitest';
import { isNight, localDays } from '../../../../../server/domain/calendar/days.ts';
import { targetSpans } from '../../../../../server/domain/calendar/spans.ts';
import { daysFrom } from '../../support/targets.ts';

const MINUTE_MS = 60_000;
const DAY_MS = 24 * 60 * MINUTE_MS;

const zone = fc.constantFrom(
  'Europe/Berlin',
  'America/New_York',
  'Australia/Lord_Howe',
  'Asia/Kolkata',
  'America/Havana',
  'Africa/Cairo',
  'America/Nuuk',
  'Antarctica/Troll',
  'Pacific/Chatham',
  'America/Santiago',
  'UTC',
);
const clockTime = fc
  .integer({ min: 0, max: 24 * 60 - 1 })
  .map(
    (minute) => `${String(Math.floor(minute / 60)).padStart(2, '0')}:${String(minute % 60).padStart(2, '0')}`,
  );
const targets = fc
  .tuple(clockTime, clockTime)
  .filter(([dayStart, nightStart]) => dayStart !== nightStart)
  .map(([dayStart, nightStart]) => daysFrom(dayStart, { nightStart }));
/** Whole minutes of 2024 to 2027, and spans of up to 4 days. */
const start = fc
  .integer({ min: 0, max: 4 * 365 * 24 * 60 })
  .map((minute) => Date.UTC(2024, 0, 1) + minute * MINUTE_MS);
const minutes = fc.integer({ min: 1, max: 4 * 24 * 60 });
const spanOf = (fromMs: number, length: number) => ({ fromMs, toMs: fromMs + length * MINUTE_MS });
/** The wall-clock date at an instant, as the platform writes it. */
const dateAt = (atMs: number, timeZone: string) =>
  new Intl.DateTimeFormat('en-CA', { timeZone, dateStyle: 'short' }).format(atMs);

test('local days join without holes, hold the span, are 22 to 26 h long and dated as the wall clock is', () => {
  fc.assert(
    fc.property(zone, start, minutes, (timeZone, fromMs, length) => {
      const span = spanOf(fromMs, length);
      const days = localDays({ ...span, zone: timeZone });
      expect(days[0]?.fromMs).toBeLessThanOrEqual(span.fromMs);
      expect(days.at(-1)?.toMs).toBeGreaterThanOrEqual(span.toMs);
      for (const [i, day] of days.entries()) {
        if (i > 0) expect(day.fromMs).toBe(days[i - 1]?.toMs);
        expect(Math.abs(day.toMs - day.fromMs - DAY_MS)).toBeLessThanOrEqual(DAY_MS / 12);
        expect([dateAt(day.fromMs, timeZone), dateAt(day.toMs - 1, timeZone)]).toEqual([day.date, day.date]);
      }
    }),
  );
});

test('spans of targets join without holes, hold exactly the span, are never empty and alternate', () => {
  fc.assert(
    fc.property(zone, start, minutes, targets, (timeZone, fromMs, length, one) => {
      const span = spanOf(fromMs, length);
      const spans = targetSpans({ history: [{ fromMs: 0, targets: one }], ...span, zone: timeZone });
      expect([spans[0]?.fromMs, spans.at(-1)?.toMs]).toEqual([span.fromMs, span.toMs]);
      for (const [i, piece] of spans.entries()) {
        expect(piece.toMs).toBeGreaterThan(piece.fromMs);
        if (i === 0) continue;
        expect(piece.fromMs).toBe(spans[i - 1]?.toMs);
        expect(piece.night).toBe(!spans[i - 1]?.night);
      }
    }),
  );
});

test('whether it is night does not depend on the span in which it is asked', () => {
  fc.assert(
    fc.property(zone, start, minutes, targets, fc.nat(), (timeZone, fromMs, length, one, where) => {
      const span = spanOf(fromMs, length);
      const atMs = fromMs + (where % length) * MINUTE_MS;
      const spans = targetSpans({ history: [{ fromMs: 0, targets: one }], ...span, zone: timeZone });
      const holding = spans.find((piece) => piece.fromMs <= atMs && atMs < piece.toMs);
      expect(isNight({ atMs, targets: one, zone: timeZone })).toBe(holding?.night);
    }),
  );
});

test('away from clock changes, night is the wall clock between nightStart and dayStart', () => {
  // June 2026: none of these zones changes its clock within it, nor in the days beside it
  const inJune = fc
    .integer({ min: 0, max: 29 * 24 * 60 })
    .map((minute) => Date.UTC(2026, 5, 1) + minute * MINUTE_MS);
  fc.assert(
    fc.property(zone, inJune, targets, (timeZone, atMs, one) => {
      const clock = new Intl.DateTimeFormat('en-GB', { timeZone, timeStyle: 'short' }).format(atMs);
      const { dayStart, nightStart } = one;
      const afterStart = clock >= nightStart;
      const beforeEnd = clock < dayStart;
      const night = nightStart < dayStart ? afterStart && beforeEnd : afterStart || beforeEnd;
      expect(isNight({ atMs, targets: one, zone: timeZone })).toBe(night);
    }),
  );
});
