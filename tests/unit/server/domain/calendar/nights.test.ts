import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { dayAndNight, type Half, type Sky } from '../../../../../server/domain/calendar/nights.ts';
import { targetSpans } from '../../../../../server/domain/calendar/spans.ts';
import { segmentsOf } from '../../../../../shared/exposure/coverage.ts';
import { type ProbeRecord, probeRecord, type Segments } from '../../../../../shared/exposure/series.ts';
import type { Targets } from '../../../../../shared/model/targets.ts';
import { BASE_MS, HOUR_MS, hours, MINUTE_MS, segmentsFrom } from '../../../shared/exposure/support.ts';
import { TARGETS } from '../../support/targets.ts';

const ZONE = 'UTC';
const BY_LIGHT: Targets = { ...TARGETS, dayBy: { kind: 'light', ppfdUmolM2S: 20 } };
const BY_SUN: Targets = { ...TARGETS, dayBy: { kind: 'sun' } };
const VIENNA = { latitudeDeg: 48.2, longitudeDeg: 16.4 };
/** Base is midnight; days by the clock are 6:00 to 20:00. */
const skyWith = (ppfd: Segments): Sky => ({ at: null, ppfd: () => ppfd });
const unlit: Sky = skyWith(segmentsFrom());

const inHours = (dayNight: readonly Half[]) =>
  dayNight.map(({ fromMs, toMs, night }) => [
    (fromMs - BASE_MS) / HOUR_MS,
    (toMs - BASE_MS) / HOUR_MS,
    night ? 'night' : 'day',
  ]);
const byLight = (ppfd: Segments, window: { fromMs: number; toMs: number }) =>
  inHours(dayAndNight({ targets: BY_LIGHT, zone: ZONE, sky: skyWith(ppfd), ...window }));

describe('by a light threshold of 20 µmol m⁻² s⁻¹', () => {
  test('light that rises from 0 to 40 from 4:00 to 8:00 and falls from 16:00 to 18:00 makes a day of 6:00 to 17:00', () => {
    // by hand: half way up, half way down
    const light = segmentsFrom([0, 0, 4, 0], [4, 0, 8, 40], [8, 40, 16, 40], [16, 40, 18, 0], [18, 0, 24, 0]);
    expect(byLight(light, hours(0, 24))).toEqual([
      [0, 6, 'night'],
      [6, 17, 'day'],
      [17, 24, 'night'],
    ]);
  });

  test('crossed a third of the way from 10 to 40 over 3 h, at 1:00 exactly, well before the clock’s 6:00', () => {
    expect(byLight(segmentsFrom([0, 10, 3, 40]), hours(0, 3))).toEqual([
      [0, 1, 'night'],
      [1, 3, 'day'],
    ]);
  });

  test('light of 20 all through is day, of 19.99 night', () => {
    expect(byLight(segmentsFrom([0, 20, 5, 20]), hours(0, 5))).toEqual([[0, 5, 'day']]);
    expect(byLight(segmentsFrom([8, 19.99, 12, 19.99]), hours(8, 12))).toEqual([[8, 12, 'night']]);
  });
});

describe('dark between two bright stretches', () => {
  const minutesDark = (minutes: number) =>
    segmentsFrom([9, 100, 12, 100], [12, 0, 12 + minutes / 60, 0], [12 + minutes / 60, 100, 15, 100]);

  test.each([1, 30, 44.99, 45])('for %f min is a cloud: day goes on', (minutes) => {
    expect(byLight(minutesDark(minutes), hours(9, 15))).toEqual([[9, 15, 'day']]);
  });

  test('for 45.1 min is night', () => {
    expect(byLight(minutesDark(45.1), hours(9, 15))).toEqual([
      [9, 12, 'day'],
      [12, expect.closeTo(12 + 45.1 / 60, 9), 'night'],
      [expect.closeTo(12 + 45.1 / 60, 9), 15, 'day'],
    ]);
  });

  test('for 30 min is a cloud also for a span of 5 min in its midst', () => {
    expect(byLight(minutesDark(30), hours(12.2, 12.3))).toEqual([[12.2, 12.3, 'day']]);
  });

  test('for 60 min is night also for a span that begins or ends in it', () => {
    expect(byLight(minutesDark(60), hours(12.5, 14))).toEqual([
      [12.5, 13, 'night'],
      [13, 14, 'day'],
    ]);
    expect(byLight(minutesDark(60), hours(10, 12.1))).toEqual([
      [10, 12, 'day'],
      [12, 12.1, 'night'],
    ]);
  });

  test('for 30 min before the record has a gap is no cloud: nothing shows that it grew bright again', () => {
    const light = segmentsFrom([9, 100, 12, 100], [12, 0, 12.5, 0], [13, 100, 15, 100]);
    expect(byLight(light, hours(9, 15))).toEqual([
      [9, 12, 'day'],
      [12, 12.5, 'night'],
      [12.5, 15, 'day'],
    ]);
  });
});

describe('where light is not covered', () => {
  test('from 4:00 to 8:00, the clock decides: night until its 6:00, day from there', () => {
    const light = segmentsFrom([0, 0, 4, 0], [8, 0, 10, 0], [10, 100, 12, 100]);
    expect(byLight(light, hours(0, 12))).toEqual([
      [0, 6, 'night'],
      [6, 8, 'day'],
      [8, 10, 'night'],
      [10, 12, 'day'],
    ]);
  });

  test('at all, a day is the clock’s 6:00 to 20:00', () => {
    expect(byLight(segmentsFrom(), hours(0, 24))).toEqual([
      [0, 6, 'night'],
      [6, 20, 'day'],
      [20, 24, 'night'],
    ]);
  });
});

describe('by the sun', () => {
  const clock = inHours(dayAndNight({ targets: TARGETS, zone: ZONE, sky: unlit, ...hours(0, 72) }));

  test('a place without coordinates, or without a sky, keeps the clock’s 3 days', () => {
    expect(inHours(dayAndNight({ targets: BY_SUN, zone: ZONE, sky: unlit, ...hours(0, 72) }))).toEqual(clock);
    expect(inHours(dayAndNight({ targets: BY_SUN, zone: ZONE, sky: null, ...hours(0, 72) }))).toEqual(clock);
    expect(clock).toHaveLength(7);
  });

  test('Vienna on 1 March has a day of 10.9 to 11.1 h, between nights, whatever the clock says', () => {
    // from memory, to a few minutes: 6:36 to 17:39 CET, 11 h 3 min
    const dayNight = dayAndNight({
      targets: BY_SUN,
      zone: ZONE,
      sky: { ...unlit, at: VIENNA },
      ...hours(0, 24),
    });
    expect(dayNight.map(({ night }) => night)).toEqual([true, false, true]);
    const lasting = ((dayNight[1]?.toMs ?? 0) - (dayNight[1]?.fromMs ?? 0)) / HOUR_MS;
    expect(lasting).toBeGreaterThan(10.9);
    expect(lasting).toBeLessThan(11.15);
  });

  test('with targets by the clock, coordinates change nothing', () => {
    const sky = { ...unlit, at: VIENNA };
    expect(inHours(dayAndNight({ targets: TARGETS, zone: ZONE, sky, ...hours(0, 72) }))).toEqual(clock);
  });
});

describe('for 200 random skies, by light and by sun', () => {
  const record = fc
    .array(fc.record({ minutes: fc.integer({ min: 1, max: 20 }), ppfd: fc.integer({ min: 0, max: 40 }) }), {
      minLength: 1,
      maxLength: 60,
    })
    .map((steps): ProbeRecord => {
      let atMs = BASE_MS;
      const timesMs = steps.map(({ minutes }) => {
        atMs += minutes * MINUTE_MS;
        return atMs;
      });
      return probeRecord({ timesMs, values: steps.map(({ ppfd }) => ppfd) });
    });
  const question = fc.record({
    record,
    targets: fc.constantFrom(BY_LIGHT, BY_SUN, TARGETS),
    latitudeDeg: fc.integer({ min: -90, max: 90 }),
    minutes: fc.tuple(
      fc.nat(600),
      fc.integer({ min: 2, max: 600 }),
      fc.double({ min: 0, max: 1, noNaN: true }),
    ),
  });
  type Question = typeof question extends fc.Arbitrary<infer T> ? T : never;
  const setUp = ({ record: light, targets, latitudeDeg, minutes: [start, length, share] }: Question) => {
    const fromMs = BASE_MS + start * MINUTE_MS;
    const toMs = fromMs + length * MINUTE_MS;
    const sky = {
      at: { latitudeDeg, longitudeDeg: 15 },
      ppfd: () => segmentsOf(light, { maxGapMs: 15 * MINUTE_MS }),
    };
    const cutMs = fromMs + 1 + Math.floor((toMs - fromMs - 2) * share);
    const ask = (window: { fromMs: number; toMs: number }) =>
      targetSpans({ history: [{ fromMs: 0, targets }], zone: ZONE, sky, ...window });
    return { fromMs, cutMs, toMs, ask };
  };

  test('halves are contiguous, hold exactly the span, are never empty and alternate', () => {
    fc.assert(
      fc.property(question, (one) => {
        const { fromMs, toMs, ask } = setUp(one);
        const dayNight = ask({ fromMs, toMs });
        expect([dayNight[0]?.fromMs, dayNight.at(-1)?.toMs]).toEqual([fromMs, toMs]);
        for (const [i, half] of dayNight.entries()) {
          expect(half.toMs).toBeGreaterThan(half.fromMs);
          if (i === 0) continue;
          expect(half.fromMs).toBe(dayNight[i - 1]?.toMs);
          expect(half.night).toBe(!dayNight[i - 1]?.night);
        }
      }),
      { numRuns: 200 },
    );
  });

  test('a span cut in two has the halves of the whole, cut there', () => {
    fc.assert(
      fc.property(question, (one) => {
        const { fromMs, cutMs, toMs, ask } = setUp(one);
        const [whole, left, right] = [
          ask({ fromMs, toMs }),
          ask({ fromMs, toMs: cutMs }),
          ask({ fromMs: cutMs, toMs }),
        ];
        const cut = whole.flatMap((half) =>
          half.fromMs < cutMs && cutMs < half.toMs
            ? [
                { ...half, toMs: cutMs },
                { ...half, fromMs: cutMs },
              ]
            : [half],
        );
        expect([...left, ...right]).toEqual(cut);
      }),
      { numRuns: 200 },
    );
  });
});
