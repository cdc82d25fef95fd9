import { describe, expect, test } from 'vitest';
import type { ForecastAnswer } from '../../../../shared/wire/places/forecast.ts';
import { fanOf } from '../../../../web/forecast/fan.ts';
import { forecastSentence, noticesSentence, skillSentence } from '../../../../web/forecast/words.ts';

const AT_MS = Date.UTC(2026, 5, 1, 13);
const iso = (min: number) => new Date(AT_MS + min * 60_000).toISOString();
const reader = { unit: 'C', timeZone: 'UTC', nowMs: AT_MS } as const;
const answer: ForecastAnswer = {
  at: iso(0),
  quantity: 'airTemperatureC',
  newest: 24,
  points: Array.from({ length: 24 }, (_, n) => ({
    t: iso((n + 1) * 5),
    value: 24 + n * 0.2,
    low80: 23 + n * 0.1,
    high80: 25 + n * 0.3,
  })),
  limit: { kind: 'air-over-ceiling', value: 26.7, reachedAt: iso(70), earliest: iso(40), latest: null },
  skill: { horizonMin: 60, maeK: 0.42, persistenceMaeK: 0.7, lineMaeK: 0.62, days: 14 },
  shown: true,
  reason: null,
};
const said = (change: Partial<ForecastAnswer>, byDay = true) => {
  const sentence = forecastSentence({ ...answer, ...change }, { byDay }, reader);
  return sentence && `${sentence.estimate}${sentence.rest}`.replaceAll('\u00a0', ' ');
};
const limit = answer.limit as NonNullable<ForecastAnswer['limit']>;

describe('what a forecast says', () => {
  test('when the air reaches its ceiling, from when to when, if the sun stays', () => {
    expect(said({})).toBe('Air reaches its ceiling of 26.7 °C at 14:10 (13:40 or later) if the sun stays.');
    expect(said({ limit: { ...limit, latest: iso(100) } }, false)).toBe(
      'Air reaches its ceiling of 26.7 °C at 14:10 (13:40–14:40).',
    );
  });

  test('where it does not, what it will be in two hours, and that it stays below', () => {
    expect(said({ limit: { ...limit, reachedAt: null, earliest: null } })).toBe(
      'Air 28.6 °C at 15:00 (25.3 °C to 31.9 °C); it stays below its ceiling.',
    );
  });

  test('nothing where it had no skill; then why, with its numbers', () => {
    const none = { shown: false, reason: 'no-skill' } as const;
    expect(said(none)).toBeNull();
    expect(skillSentence({ ...answer, ...none }, reader)).toBe(
      'No forecast is shown: in the last 14 days it was no better than “as now” or a straight line (an hour ahead it was off by 0.4 °C on average, “as now” by 0.7 °C, a straight line by 0.6 °C).',
    );
  });

  test('that nothing is known where it is far from where it was in three weeks', () => {
    const unusual = { ...answer, points: [], limit: null, shown: false, reason: 'unusual' } as const;
    expect(skillSentence(unusual, reader)).toMatch(/^No forecast now: it is far from where it was/);
  });

  test('of notices: how many came true, and that they are held back', () => {
    const notices = {
      placeId: 'a',
      name: 'a',
      rule: 'ceiling-expected',
      days: 28,
      hits: 2,
      misses: 1,
      wrong: 2,
      averted: 0,
      medianLeadMin: 38.4,
      heldBack: true,
    } as const;
    expect(noticesSentence(notices)).toBe(
      'Early notices about the ceiling, last 28 days: 2 came true, 38 min ahead in the middle; 2 did not; 1 time the air went over its ceiling without one. More than one in four was wrong: none is given until that is over.',
    );
  });
});

describe('the fan', () => {
  test('begins at now in the middle, ends at the right edge, and shows a ceiling within reach', () => {
    const fan = fanOf(
      answer,
      [
        { tMs: AT_MS - 3_600_000, value: 23 },
        { tMs: AT_MS, value: 24 },
      ],
      { widthPx: 400, heightPx: 100 },
    );
    expect(fan.nowX).toBe(200);
    expect(fan.middle).toMatch(/^M200\.0 .*L400\.0 [\d.]+$/);
    expect(fan.read).toMatch(/^M100\.0 [\d.]+L200\.0 [\d.]+$/);
    expect(fan.limitY).toBeGreaterThan(0);
    expect(fan.limitY).toBeLessThan(100);
  });

  test('draws nothing across a gap, and leaves out a ceiling 40 K away', () => {
    const trace = [-90, -60, -30].map((min) => ({
      tMs: AT_MS + min * 60_000,
      value: min === -60 ? null : 24,
    }));
    const far = { ...answer, limit: { ...limit, value: 66 } };
    const fan = fanOf(far, trace, { widthPx: 400, heightPx: 100 });
    expect(fan.read.match(/M/g)).toHaveLength(2);
    expect(fan.read).not.toContain('L');
    expect(fan.limitY).toBeNull();
  });
});
