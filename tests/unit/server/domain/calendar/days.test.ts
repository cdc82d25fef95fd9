import { Settings } from 'luxon';
import { afterEach, describe, expect, test } from 'vitest';
import { instantOf, isTimeZone, localDays } from '../../../../../server/domain/calendar/days.ts';

const HOUR_MS = 3_600_000;
const noonUtc = (date: string) => Date.parse(`${date}T12:00:00Z`);

/**
 * Days with a clock change. Source of each instant: the rules of the IANA time zone database, written out here by hand.
 * Lisbon: last Sunday of March and October, 01:00 UTC, +00:00 and +01:00. New York: second Sunday of March, first of November, 02:00
 * wall clock. Lord Howe: half an hour, first Sundays of April and October, 02:00 wall clock, +11:00 and +10:30.
 * Kolkata: none. Havana: second Sunday of March at 00:00, which is skipped; first Sunday of November at 01:00 back
 * to 00:00. Cairo: last Friday of April at 00:00, which is skipped; last Thursday of October, 24:00 back to 23:00.
 * Nuuk: with Europe, 23:00 of Saturday onwards is skipped, or comes twice. Exact to the ms: offsets are whole minutes.
 */
const DAYS = [
  {
    zone: 'Europe/Lisbon',
    date: '2026-03-29',
    from: '2026-03-29T00:00Z',
    to: '2026-03-29T23:00Z',
    hours: 23,
  },
  {
    zone: 'Europe/Lisbon',
    date: '2026-03-30',
    from: '2026-03-29T23:00Z',
    to: '2026-03-30T23:00Z',
    hours: 24,
  },
  {
    zone: 'Europe/Lisbon',
    date: '2026-10-25',
    from: '2026-10-24T23:00Z',
    to: '2026-10-26T00:00Z',
    hours: 25,
  },
  {
    zone: 'America/New_York',
    date: '2026-03-08',
    from: '2026-03-08T05:00Z',
    to: '2026-03-09T04:00Z',
    hours: 23,
  },
  {
    zone: 'America/New_York',
    date: '2026-11-01',
    from: '2026-11-01T04:00Z',
    to: '2026-11-02T05:00Z',
    hours: 25,
  },
  {
    zone: 'Australia/Lord_Howe',
    date: '2026-04-05',
    from: '2026-04-04T13:00Z',
    to: '2026-04-05T13:30Z',
    hours: 24.5,
  },
  {
    zone: 'Australia/Lord_Howe',
    date: '2026-10-04',
    from: '2026-10-03T13:30Z',
    to: '2026-10-04T13:00Z',
    hours: 23.5,
  },
  { zone: 'Asia/Kolkata', date: '2026-03-29', from: '2026-03-28T18:30Z', to: '2026-03-29T18:30Z', hours: 24 },
  {
    zone: 'America/Havana',
    date: '2026-03-08',
    from: '2026-03-08T05:00Z',
    to: '2026-03-09T04:00Z',
    hours: 23,
  },
  {
    zone: 'America/Havana',
    date: '2026-11-01',
    from: '2026-11-01T04:00Z',
    to: '2026-11-02T05:00Z',
    hours: 25,
  },
  { zone: 'Africa/Cairo', date: '2026-04-24', from: '2026-04-23T22:00Z', to: '2026-04-24T21:00Z', hours: 23 },
  { zone: 'Africa/Cairo', date: '2026-10-29', from: '2026-10-28T21:00Z', to: '2026-10-29T22:00Z', hours: 25 },
  { zone: 'America/Nuuk', date: '2026-03-28', from: '2026-03-28T02:00Z', to: '2026-03-29T01:00Z', hours: 23 },
  { zone: 'America/Nuuk', date: '2026-10-24', from: '2026-10-24T01:00Z', to: '2026-10-25T02:00Z', hours: 25 },
] as const;

/**
 * Wall-clock times that a change skips or repeats. Which instant is meant: RFC 5545, section 3.3.5 (recalled): one
 * that does not occur is read with the offset before the gap; one that occurs twice is the first.
 */
const SWITCHES = [
  { zone: 'Europe/Lisbon', date: '2026-03-29', clockTime: '01:30', at: '2026-03-29T01:30Z' },
  { zone: 'Europe/Lisbon', date: '2026-03-29', clockTime: '06:00', at: '2026-03-29T05:00Z' },
  { zone: 'Europe/Lisbon', date: '2026-10-25', clockTime: '01:30', at: '2026-10-25T00:30Z' },
  { zone: 'Europe/Lisbon', date: '2026-10-25', clockTime: '06:00', at: '2026-10-25T06:00Z' },
  { zone: 'America/New_York', date: '2026-03-08', clockTime: '02:30', at: '2026-03-08T07:30Z' },
  { zone: 'America/New_York', date: '2026-11-01', clockTime: '01:30', at: '2026-11-01T05:30Z' },
  { zone: 'Australia/Lord_Howe', date: '2026-10-04', clockTime: '02:15', at: '2026-10-03T15:45Z' },
  { zone: 'Australia/Lord_Howe', date: '2026-04-05', clockTime: '01:45', at: '2026-04-04T14:45Z' },
  { zone: 'Asia/Kolkata', date: '2026-03-29', clockTime: '02:30', at: '2026-03-28T21:00Z' },
  { zone: 'America/Havana', date: '2026-03-08', clockTime: '00:30', at: '2026-03-08T05:30Z' },
  { zone: 'America/Havana', date: '2026-11-01', clockTime: '00:30', at: '2026-11-01T04:30Z' },
  { zone: 'Africa/Cairo', date: '2026-04-24', clockTime: '00:30', at: '2026-04-23T22:30Z' },
  { zone: 'Africa/Cairo', date: '2026-10-29', clockTime: '23:30', at: '2026-10-29T20:30Z' },
  { zone: 'America/Nuuk', date: '2026-03-28', clockTime: '23:30', at: '2026-03-29T01:30Z' },
] as const;

function dayOf(zone: string, date: string) {
  const around = { fromMs: noonUtc(date) - 36 * HOUR_MS, toMs: noonUtc(date) + 36 * HOUR_MS };
  return localDays({ ...around, zone }).find((day) => day.date === date);
}

afterEach(() => {
  Settings.now = () => Date.now();
});

describe('local days', () => {
  test.each(DAYS)('$date in $zone has $hours h', ({ zone, date, from, to, hours }) => {
    const day = dayOf(zone, date);
    expect(day).toEqual({ date, fromMs: Date.parse(from), toMs: Date.parse(to) });
    expect((Date.parse(to) - Date.parse(from)) / HOUR_MS).toBe(hours);
  });

  test.each(DAYS)('$date in $zone is the same day asked from its first and from its last minute', (row) => {
    const fromMs = Date.parse(row.from);
    const toMs = Date.parse(row.to);
    const day = { date: row.date, fromMs, toMs };
    expect(localDays({ fromMs, toMs: fromMs + 60_000, zone: row.zone })).toEqual([day]);
    expect(localDays({ fromMs: toMs - 60_000, toMs, zone: row.zone })).toEqual([day]);
  });

  test('Samoa had no 30 December 2011 and the list of days has none of 0 h', () => {
    // IANA: Pacific/Apia went from −10:00 to +14:00 at the end of 29 December 2011
    const span = { fromMs: Date.parse('2011-12-29T20:00Z'), toMs: Date.parse('2011-12-30T20:00Z') };
    expect(localDays({ ...span, zone: 'Pacific/Apia' }).map(({ date }) => date)).toEqual([
      '2011-12-29',
      '2011-12-31',
    ]);
  });
});

describe('wall-clock times', () => {
  test.each(SWITCHES)('$clockTime on $date in $zone is $at', ({ zone, date, clockTime, at }) => {
    const day = dayOf(zone, date);
    expect(day).toBeDefined();
    if (day) expect(new Date(instantOf({ day, clockTime, zone })).toJSON()).toBe(new Date(at).toJSON());
  });

  test.each(['2026-01-15', '2026-07-15'])('nothing of this changes when today is %s', (today) => {
    Settings.now = () => noonUtc(today);
    for (const { zone, date, from } of DAYS) expect(dayOf(zone, date)?.fromMs).toBe(Date.parse(from));
    for (const { zone, date, clockTime, at } of SWITCHES) {
      const day = dayOf(zone, date);
      if (day) expect(instantOf({ day, clockTime, zone })).toBe(Date.parse(at));
    }
  });
});

test.each(['America/Halifax', 'America/Argentina/Ushuaia', 'UTC'])('%s is a time zone', (zone) => {
  expect(isTimeZone(zone)).toBe(true);
});

// each of these is understood by the library for dates, but not by the one that writes the words of an alarm
test.each(['', 'local', 'system', 'default', 'UTC+3', 'Mars/Base', 'Vienna'])('"%s" is none', (zone) => {
  expect(isTimeZone(zone)).toBe(false);
});
