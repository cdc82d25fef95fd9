import { describe, expect, test } from 'vitest';
import { isNight, localDays } from '../../../../../server/domain/calendar/days.ts';
import { dayAndNight } from '../../../../../server/domain/calendar/nights.ts';
import { targetSpans } from '../../../../../server/domain/calendar/spans.ts';
import type { Targets } from '../../../../../shared/model/targets.ts';
import { daysFrom, TARGETS } from '../../support/targets.ts';

const at = (text: string) => Date.parse(text);
const vienna = 'Europe/Vienna';
const lisbon = 'Europe/Lisbon';

function dayNight(query: { targets: Targets; from: string; to: string; zone: string }) {
  const { targets, zone } = query;
  const span = { fromMs: at(query.from), toMs: at(query.to), zone };
  const spans = targetSpans({ history: [{ fromMs: 0, targets }], ...span });
  const written = ({ fromMs, night }: { fromMs: number; night: boolean }) =>
    `${new Date(fromMs).toISOString().slice(0, 16)}Z ${night ? 'night' : 'day'}`;
  expect(dayAndNight({ targets, ...span, sky: null }).map(written)).toEqual(spans.map(written));
  expect(spans.at(-1)?.toMs).toBe(span.toMs);
  return spans.map(written);
}

describe('a day from 06:00 to 20:00', () => {
  test('keeps 14 h of day in the 23 h of 2026-03-29 in Lisbon, and the night before is an hour shorter', () => {
    // WET until 01:00 UTC, then WEST (EU rule): 06:00 is 05:00 UTC, 20:00 is 19:00 UTC
    const query = { targets: TARGETS, from: '2026-03-29T00:00Z', to: '2026-03-29T23:00Z', zone: lisbon };
    expect(dayNight(query)).toEqual([
      '2026-03-29T00:00Z night',
      '2026-03-29T05:00Z day',
      '2026-03-29T19:00Z night',
    ]);
  });

  test('keeps 14 h of day in the 25 h of 2026-10-25 in Lisbon', () => {
    const query = { targets: TARGETS, from: '2026-10-24T23:00Z', to: '2026-10-26T00:00Z', zone: lisbon };
    expect(dayNight(query)).toEqual([
      '2026-10-24T23:00Z night',
      '2026-10-25T06:00Z day',
      '2026-10-25T20:00Z night',
    ]);
  });

  test('starts at 00:30 UTC in Kolkata, 5 h 30 ahead', () => {
    const query = {
      targets: TARGETS,
      from: '2026-06-01T00:00Z',
      to: '2026-06-01T23:00Z',
      zone: 'Asia/Kolkata',
    };
    expect(dayNight(query)).toEqual([
      '2026-06-01T00:00Z night',
      '2026-06-01T00:30Z day',
      '2026-06-01T14:30Z night',
    ]);
  });
});

describe('a night from 01:00 to 09:00, before the day', () => {
  const inverted = daysFrom('09:00', { nightStart: '01:00' });

  test('is 8 h long in New York, 05:00 to 13:00 UTC in July', () => {
    const query = {
      targets: inverted,
      from: '2026-07-01T04:00Z',
      to: '2026-07-02T04:00Z',
      zone: 'America/New_York',
    };
    expect(dayNight(query)).toEqual([
      '2026-07-01T04:00Z day',
      '2026-07-01T05:00Z night',
      '2026-07-01T13:00Z day',
    ]);
  });

  test('is 9 h long when the clock goes back at 02:00 on 2026-11-01', () => {
    // EDT (−4) at 01:00, the first; EST (−5) at 09:00
    const query = {
      targets: inverted,
      from: '2026-11-01T04:00Z',
      to: '2026-11-02T05:00Z',
      zone: 'America/New_York',
    };
    expect(dayNight(query)).toEqual([
      '2026-11-01T04:00Z day',
      '2026-11-01T05:00Z night',
      '2026-11-01T14:00Z day',
    ]);
  });
});

describe('a day that starts at 02:30, inside the hour a change skips or repeats', () => {
  const targets = daysFrom('02:30', { nightStart: '20:00' });

  test('starts at 03:30 CEST on 2026-03-29, and 03:10 CEST is still night however it is asked', () => {
    const query = { targets, from: '2026-03-29T00:30Z', to: '2026-03-29T02:00Z', zone: vienna };
    expect(dayNight(query)).toEqual(['2026-03-29T00:30Z night', '2026-03-29T01:30Z day']);
    const inside = { targets, from: '2026-03-29T01:05Z', to: '2026-03-29T01:20Z', zone: vienna };
    expect(dayNight(inside)).toEqual(['2026-03-29T01:05Z night']);
    expect(isNight({ atMs: at('2026-03-29T01:10Z'), targets, zone: vienna })).toBe(true);
    expect(isNight({ atMs: at('2026-03-29T01:30Z'), targets, zone: vienna })).toBe(false);
  });

  test('starts at the first 02:30 on 2026-10-25, and the second 02:10 is day however it is asked', () => {
    const query = { targets, from: '2026-10-25T00:00Z', to: '2026-10-25T03:00Z', zone: vienna };
    expect(dayNight(query)).toEqual(['2026-10-25T00:00Z night', '2026-10-25T00:30Z day']);
    const inside = { targets, from: '2026-10-25T01:05Z', to: '2026-10-25T01:20Z', zone: vienna };
    expect(dayNight(inside)).toEqual(['2026-10-25T01:05Z day']);
    expect(isNight({ atMs: at('2026-10-25T01:10Z'), targets, zone: vienna })).toBe(false);
  });

  test('starts at the first 00:30 in Havana on 2026-11-01, where midnight comes twice', () => {
    const early = daysFrom('00:30', { nightStart: '20:00' });
    const query = {
      targets: early,
      from: '2026-11-01T04:00Z',
      to: '2026-11-01T07:00Z',
      zone: 'America/Havana',
    };
    expect(dayNight(query)).toEqual(['2026-11-01T04:00Z night', '2026-11-01T04:30Z day']);
    const inside = { ...query, from: '2026-11-01T05:05Z', to: '2026-11-01T05:20Z' };
    expect(dayNight(inside)).toEqual(['2026-11-01T05:05Z day']);
  });

  test('a night that starts at 23:30 on the Saturday of Nuuk without a 23:30 starts 30 min into Sunday', () => {
    const late = daysFrom('06:00', { nightStart: '23:30' });
    const query = { targets: late, from: '2026-03-29T01:00Z', to: '2026-03-29T08:00Z', zone: 'America/Nuuk' };
    expect(dayNight(query)).toEqual([
      '2026-03-29T01:00Z day',
      '2026-03-29T01:30Z night',
      '2026-03-29T07:00Z day',
    ]);
  });
});

describe('a half that the skipped hour swallows', () => {
  const wholeDay = { from: '2026-03-28T23:00Z', to: '2026-03-30T22:00Z', zone: vienna };

  test.each(['03:15', '03:30'])(
    'a day from 02:30 to %s is missing on 2026-03-29 and there the next day',
    (end) => {
      const written = dayNight({ ...wholeDay, targets: daysFrom('02:30', { nightStart: end }) });
      const endMs = at(`2026-03-30T${end}Z`) - 2 * 3_600_000;
      expect(written).toEqual([
        '2026-03-28T23:00Z night',
        '2026-03-30T00:30Z day',
        `${new Date(endMs).toISOString().slice(0, 16)}Z night`,
      ]);
    },
  );

  test('a night from 02:30 to 03:15 is missing on 2026-03-29 and there the next day', () => {
    expect(dayNight({ ...wholeDay, targets: daysFrom('03:15', { nightStart: '02:30' }) })).toEqual([
      '2026-03-28T23:00Z day',
      '2026-03-30T00:30Z night',
      '2026-03-30T01:15Z day',
    ]);
  });
});

test('3 sets of targets cut the span where each begins, the first holding before its own start too', () => {
  const warmer = { ...TARGETS, air: { ...TARGETS.air, ceilingC: 30 } };
  const history = [
    { fromMs: at('2026-06-01T08:00Z'), targets: TARGETS },
    { fromMs: at('2026-06-01T10:00Z'), targets: warmer },
    { fromMs: at('2026-06-02T00:00Z'), targets: TARGETS },
  ];
  const span = { fromMs: at('2026-06-01T07:00Z'), toMs: at('2026-06-01T12:00Z'), zone: 'UTC' };
  expect(targetSpans({ history, ...span })).toEqual([
    { fromMs: span.fromMs, toMs: at('2026-06-01T10:00Z'), night: false, move: null, targets: TARGETS },
    { fromMs: at('2026-06-01T10:00Z'), toMs: span.toMs, night: false, move: null, targets: warmer },
  ]);
  expect(localDays(span)).toHaveLength(1);
});
