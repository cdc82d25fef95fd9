import { describe, expect, test } from 'vitest';
import { createWallClock } from '../../../../../../server/domain/calendar/wall-time.ts';
import { createTimeReader } from '../../../../../../server/domain/exchange/read/times.ts';
import { guessTimeFormat } from '../../../../../../server/domain/exchange/time-format.ts';
import type { RepeatedHour, TimeFormat } from '../../../../../../shared/model/import-mapping.ts';

const RFC3339: TimeFormat = { kind: 'rfc3339' };
const VIENNA: TimeFormat = { kind: 'local', zone: 'Europe/Vienna', order: 'ymd' };

const isoOf = (read: ReturnType<ReturnType<typeof createTimeReader>>): string =>
  read.kind === 'instant' ? new Date(read.tMs).toISOString() : read.kind;
const readAll = (
  format: TimeFormat,
  texts: readonly string[],
  repeated: RepeatedHour | null = null,
): string[] => {
  const read = createTimeReader(format, repeated);
  return texts.map((text) => isoOf(read(text)));
};

describe('RFC 3339', () => {
  // RFC 3339 section 5.8, recalled; the second is stated there to be the same as 1996-12-20T00:39:57Z
  test.each([
    ['1985-04-12T23:20:50.52Z', '1985-04-12T23:20:50.520Z'],
    ['1996-12-19T16:39:57-08:00', '1996-12-20T00:39:57.000Z'],
    ['1937-01-01T12:00:27.87+00:20', '1937-01-01T11:40:27.870Z'],
  ])('section 5.8: %s is %s', (text, iso) => {
    expect(readAll(RFC3339, [text])).toEqual([iso]);
  });

  test.each([
    '2026-03-01 06:00',
    '2026-03-01T06:00:00',
    '2026-02-29T06:00:00Z',
    '2026-03-01T24:00:00Z',
    '2026-03-01T06:00:00+24:00',
    '1990-12-31T23:59:60Z',
    '',
  ])('%j is no time', (text) => {
    expect(readAll(RFC3339, [text])).toEqual(['bad']);
  });
});

describe('since 1970', () => {
  test('1771000000.25 s and 1771000000250 ms are 2026-02-13T16:26:40.250Z', () => {
    // 20,497 days from 1970-01-01 to 2026-02-13 are 1,770,940,800 s; 59,200.25 s more are 16 h 26 min 40.25 s
    expect(readAll({ kind: 'epoch', unit: 's' }, ['1771000000.25'])).toEqual(['2026-02-13T16:26:40.250Z']);
    expect(readAll({ kind: 'epoch', unit: 'ms' }, ['1771000000250'])).toEqual(['2026-02-13T16:26:40.250Z']);
    expect(readAll({ kind: 'epoch', unit: 's' }, ['1e9'])).toEqual(['bad']);
  });
});

describe('wall clocks', () => {
  test.each([
    ['ymd', '2026-06-01 08:30:05.5', '2026-06-01T03:00:05.500Z'],
    ['ymd', '2026/6/1T08:30', '2026-06-01T03:00:00.000Z'],
    ['dmy', '1.6.2026 08:30', '2026-06-01T03:00:00.000Z'],
    ['dmy', '01/06/26 08:30:00', '2026-06-01T03:00:00.000Z'],
    ['mdy', '6/1/2026 8:30 PM', '2026-06-01T15:00:00.000Z'],
    ['mdy', '6/1/2026 12:30:00 am', '2026-05-31T19:00:00.000Z'],
  ] as const)('%s: %s in Kolkata, 5 h 30 min ahead of UTC, is %s', (order, text, iso) => {
    expect(readAll({ kind: 'local', zone: 'Asia/Kolkata', order }, [text])).toEqual([iso]);
  });

  test.each(['2026-06-01T08:30:00Z', '31.02.2026 08:30', '2026-06-01 13:30 PM', '8:30'])(
    '%s is no local time',
    (text) => {
      expect(readAll(VIENNA, [text])).toEqual(['bad']);
    },
  );

  // Directive 2000/84/EC, recalled: summer time ends on the last Sunday of October at 01:00 UTC.
  const HOUR = ['01:30', '02:00', '02:30', '02:00', '02:30', '03:00'].map((time) => `2026-10-25 ${time}`);

  test('on 2026-10-25 the clock of Vienna shows 02:30 at 00:30 and at 01:30 UTC, and 03:00 at 02:00 UTC only', () => {
    const instantsOf = createWallClock('Europe/Vienna');
    const at = (time: string) =>
      instantsOf(Date.parse(`2026-10-25T${time}Z`)).map((ms) => new Date(ms).toISOString());
    expect(at('02:30')).toEqual(['2026-10-25T00:30:00.000Z', '2026-10-25T01:30:00.000Z']);
    expect(at('03:00')).toEqual(['2026-10-25T02:00:00.000Z']);
    expect(at('01:59')).toEqual(['2026-10-24T23:59:00.000Z']);
  });

  test('of 6 rows the 4 in the hour that comes twice are asked about, the others read', () => {
    expect(readAll(VIENNA, HOUR)).toEqual([
      '2026-10-24T23:30:00.000Z',
      'asks',
      'asks',
      'asks',
      'asks',
      '2026-10-25T02:00:00.000Z',
    ]);
  });

  test.each([
    ['first', ['00:00', '00:30', '00:00', '00:30']],
    ['second', ['01:00', '01:30', '01:00', '01:30']],
    ['split-by-order', ['00:00', '00:30', '01:00', '01:30']],
  ] as const)('taken as %s they are at %j UTC', (repeated, times) => {
    expect(readAll(VIENNA, HOUR, repeated).slice(1, 5)).toEqual(
      times.map((time) => `2026-10-25T${time}:00.000Z`),
    );
  });

  test('split by order, a file with its newest row first meets the second pass first', () => {
    const times = readAll(VIENNA, HOUR.toReversed(), 'split-by-order');
    expect(times).toEqual(readAll(VIENNA, HOUR, 'split-by-order').toReversed());
  });

  test('split by order, a row an hour shows 02:00 twice: 00:00 and 01:00 UTC', () => {
    const hourly = ['01:00', '02:00', '02:00', '03:00'].map((time) => `2026-10-25 ${time}`);
    const times = ['2026-10-24T23', '2026-10-25T00', '2026-10-25T01', '2026-10-25T02'];
    expect(readAll(VIENNA, hourly, 'split-by-order')).toEqual(times.map((time) => `${time}:00:00.000Z`));
  });

  test('split by order, a second repeated hour a year later begins with its first pass', () => {
    const next = ['2027-10-31 02:30', '2027-10-31 02:00'];
    expect(readAll(VIENNA, [...HOUR, ...next], 'split-by-order').slice(-2)).toEqual([
      '2027-10-31T00:30:00.000Z',
      '2027-10-31T01:00:00.000Z',
    ]);
  });

  test('in New York 02:30 of 2026-03-08 is skipped; 01:59 and 03:00 are a minute apart', () => {
    // Energy Policy Act of 2005, recalled: on the second Sunday of March 02:00 becomes 03:00
    const newYork: TimeFormat = { kind: 'local', zone: 'America/New_York', order: 'ymd' };
    const read = createTimeReader(newYork, 'first');
    expect(read('2026-03-08 02:30:00')).toEqual({ kind: 'bad', reason: expect.stringContaining('skips') });
    expect(readAll(newYork, ['2026-03-08 01:59', '2026-03-08 03:00'])).toEqual([
      '2026-03-08T06:59:00.000Z',
      '2026-03-08T07:00:00.000Z',
    ]);
  });
});

describe('what a few times show of their format', () => {
  test.each([
    [['2026-03-01T06:00:00Z', '2026-03-01T07:00:00+01:00'], { kind: 'rfc3339' }],
    [['2026-03-01 06:00', '2026-03-01 06:10:30'], { kind: 'local', order: 'ymd' }],
    [['1.3.2026 06:00'], { kind: 'local', order: 'dmy' }],
    [['13/3/2026 06:00', '1/4/2026 06:00'], { kind: 'local', order: 'dmy' }],
    [['3/13/2026 06:00'], { kind: 'local', order: 'mdy' }],
    [['3/4/2026 06:00', '3/5/2026 06:00'], { kind: 'local', order: null }],
    [['1771000000'], { kind: 'epoch', unit: 's' }],
    [['1771000000250'], { kind: 'epoch', unit: 'ms' }],
    [['21.5', '21.6'], null],
    [['2026-03-01T06:00:00Z', 'later', '2026-03-01T06:10:00Z'], { kind: 'rfc3339' }],
    [['2026-03-01T06:00:00Z', 'later'], null],
    [[], null],
  ])('%j → %j', (samples, format) => {
    expect(guessTimeFormat(samples)).toEqual(format);
  });
});
