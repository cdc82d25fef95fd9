import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Coordinates, sunUp } from '../../../../../server/domain/calendar/sun.ts';
import { allOf, anyOf, lengthsOf } from '../../../../../shared/exposure/intersect.ts';

const DAY_MS = 86_400_000;
const HOUR_MS = 3_600_000;
const startOf = (date: string) => Date.parse(`${date}T00:00Z`);

/**
 * U.S. Naval Observatory, "Sun and Moon Data for One Day", UTC, to the whole minute: read as kept in the test data
 * of the suncalc project (fetched 2026-06-17), which is the library under test; the figures are the Observatory's.
 */
const PLACES = {
  Reykjavik: { latitudeDeg: 64.13548, longitudeDeg: -21.89541 },
  Tromsø: { latitudeDeg: 69.6489, longitudeDeg: 18.95508 },
  Melbourne: { latitudeDeg: -37.814, longitudeDeg: 144.96332 },
  Ushuaia: { latitudeDeg: -54.81084, longitudeDeg: -68.31591 },
} as const satisfies Record<string, Coordinates>;

/** The minutes of a UTC day at which the sun comes up and goes down, from its windows alone. */
function turnsOn(date: string, at: Coordinates) {
  const span = { fromMs: startOf(date), toMs: startOf(date) + DAY_MS };
  const up = sunUp({ ...span, at });
  const minute = (ms: number) => (ms - span.fromMs) / 60_000;
  return {
    rises: up.flatMap(({ fromMs }) => (fromMs > span.fromMs ? [minute(fromMs)] : [])),
    sets: up.flatMap(({ toMs }) => (toMs < span.toMs ? [minute(toMs)] : [])),
  };
}
const minuteOf = (clock: string) => Number(clock.slice(0, 2)) * 60 + Number(clock.slice(3));

describe('sunrise and sunset lie within 1 min of the Naval Observatory', () => {
  // 1 min: its times are rounded to the minute, ±0.5; what is left is what the doc block promises below 65°
  test.each([
    ['Reykjavik', '2026-01-03', '11:17', '15:48'],
    ['Reykjavik', '2026-03-20', '07:28', '19:43'],
    ['Reykjavik', '2026-06-01', '03:23', '23:30'],
    ['Reykjavik', '2026-06-21', '02:55', '00:03'],
    ['Tromsø', '2026-01-18', '09:52', '11:58'],
    ['Tromsø', '2026-01-25', '09:03', '12:51'],
    ['Tromsø', '2026-03-20', '04:44', '17:02'],
    ['Tromsø', '2026-09-23', '04:28', '16:43'],
    ['Melbourne', '2026-01-03', '19:04', '09:46'],
    ['Melbourne', '2026-03-20', '20:24', '08:32'],
    ['Melbourne', '2026-06-21', '21:36', '07:08'],
    ['Melbourne', '2026-12-21', '18:55', '09:42'],
    ['Melbourne', '2050-06-21', '21:36', '07:08'],
    ['Ushuaia', '2026-03-20', '10:35', '22:46'],
    ['Ushuaia', '2026-06-21', '12:59', '20:11'],
    ['Ushuaia', '2026-09-23', '10:19', '22:33'],
    ['Ushuaia', '2026-12-21', '07:51', '01:11'],
  ] as const)('%s on %s: up at %s, down at %s UTC', (place, date, rise, set) => {
    const { rises, sets } = turnsOn(date, PLACES[place]);
    expect([rises.length, sets.length]).toEqual([1, 1]);
    expect(Math.abs((rises[0] ?? Number.NaN) - minuteOf(rise))).toBeLessThanOrEqual(1);
    expect(Math.abs((sets[0] ?? Number.NaN) - minuteOf(set))).toBeLessThanOrEqual(1);
  });

  test.each(['2026-06-01', '2026-06-21', '2026-07-06'])('Tromsø has all 24 h of %s', (date) => {
    const span = { fromMs: startOf(date), toMs: startOf(date) + DAY_MS };
    expect(sunUp({ ...span, at: PLACES.Tromsø })).toEqual([span]);
  });

  test.each(['2026-01-03', '2026-01-10', '2026-12-21', '2026-12-24'])('Tromsø has none of %s', (date) => {
    expect(turnsOn(date, PLACES.Tromsø)).toEqual({ rises: [], sets: [] });
    expect(sunUp({ fromMs: startOf(date), toMs: startOf(date) + DAY_MS, at: PLACES.Tromsø })).toEqual([]);
  });
});

describe('the long day of Tromsø in 2026', () => {
  // from memory: the midnight sun of Tromsø is said to last from about 18 May to 26 July
  const season = { fromMs: startOf('2026-05-01'), toMs: startOf('2026-08-10') };

  test('is 1 window of 67 to 70 days, ending in July, in a span that begins with ordinary days', () => {
    const longest = sunUp({ ...season, at: PLACES.Tromsø }).toSorted(
      (a, b) => b.toMs - b.fromMs - (a.toMs - a.fromMs),
    )[0];
    expect(new Date(longest?.fromMs ?? 0).toISOString().slice(0, 7)).toBe('2026-05');
    expect(new Date(longest?.toMs ?? 0).toISOString().slice(0, 7)).toBe('2026-07');
    const days = lengthsOf(longest ? [longest] : []).totalMs / DAY_MS;
    expect(days).toBeGreaterThan(67);
    expect(days).toBeLessThan(70);
  });

  test('is day from the first ms of a span that begins in its midst and ends 30 days after it', () => {
    const [first] = sunUp({ ...season, fromMs: startOf('2026-06-10'), at: PLACES.Tromsø });
    expect(first?.fromMs).toBe(startOf('2026-06-10'));
    expect((first?.toMs ?? 0) - startOf('2026-06-10')).toBeGreaterThan(45 * DAY_MS);
  });
});

describe('for 300 random places and spans', () => {
  const place = fc.record({
    latitudeDeg: fc.oneof(fc.integer({ min: -90, max: 90 }), fc.double({ min: 60, max: 72, noNaN: true })),
    longitudeDeg: fc.integer({ min: -180, max: 180 }),
  });
  const hour = fc.integer({ min: 0, max: 3 * 365 * 24 }).map((n) => startOf('2025-01-01') + n * HOUR_MS);
  const lasting = fc.integer({ min: 2, max: 24 * 40 });

  test('two halves of a span see the same sun as the whole', () => {
    fc.assert(
      fc.property(
        place,
        hour,
        lasting,
        fc.double({ min: 0, max: 1, noNaN: true }),
        (at, fromMs, length, share) => {
          const toMs = fromMs + length * HOUR_MS;
          const cutMs = fromMs + Math.floor((toMs - fromMs) * share);
          const parts = [sunUp({ fromMs, toMs: cutMs, at }), sunUp({ fromMs: cutMs, toMs, at })];
          expect(anyOf(parts)).toEqual(sunUp({ fromMs, toMs, at }));
        },
      ),
      { numRuns: 300 },
    );
  });

  test('windows ascend within the span and never touch', () => {
    fc.assert(
      fc.property(place, hour, lasting, (at, fromMs, length) => {
        const span = { fromMs, toMs: fromMs + length * HOUR_MS };
        const up = sunUp({ ...span, at });
        expect(allOf([up, [span]])).toEqual(up);
        for (const [i, window] of up.entries()) {
          expect(window.toMs).toBeGreaterThan(window.fromMs);
          if (i > 0) expect(window.fromMs).toBeGreaterThan(up[i - 1]?.toMs ?? Number.NaN);
        }
      }),
      { numRuns: 300 },
    );
  });
});

test('over a year the sun is up for 50 to 52.5 % of the time at every latitude from −60 to 60', () => {
  // by symmetry half; refraction and the half width of the sun add 0.83° of its path twice a day: at the equator
  // 2 × 0.83° / 15° an hour = 6.7 min a day, 0.5 %; at 60° two to three times that, below 2.5 %
  const year = { fromMs: startOf('2026-01-01'), toMs: startOf('2027-01-01') };
  for (let latitudeDeg = -60; latitudeDeg <= 60; latitudeDeg += 15) {
    const up = lengthsOf(sunUp({ ...year, at: { latitudeDeg, longitudeDeg: 0 } })).totalMs;
    const share = up / (year.toMs - year.fromMs);
    expect(share).toBeGreaterThan(0.5);
    expect(share).toBeLessThan(0.525);
  }
});
