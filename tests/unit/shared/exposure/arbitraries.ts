import fc from 'fast-check';
import { bandExposure } from '../../../../shared/exposure/integrate.ts';
import { probeRecord, type Segments } from '../../../../shared/exposure/series.ts';
import { BASE_MS, HOUR_MS, MINUTE_MS } from './support.ts';

export const joined = { maxGapMs: 15 * MINUTE_MS };

/** Readings 1 to 20 whole minutes apart, values 10 to 40 in quarters: some gaps, some equal neighbours. */
export const recordArbitrary = fc
  .array(
    fc.record({ minutes: fc.integer({ min: 1, max: 20 }), quarters: fc.integer({ min: 40, max: 160 }) }),
    {
      minLength: 1,
      maxLength: 12,
    },
  )
  .map((steps) => {
    let timeMs = BASE_MS;
    const timesMs = steps.map(({ minutes }) => {
      timeMs += minutes * MINUTE_MS;
      return timeMs;
    });
    return probeRecord({ timesMs, values: steps.map(({ quarters }) => quarters / 4) });
  });

const limitsArbitrary = fc
  .tuple(fc.integer({ min: 10, max: 40 }), fc.integer({ min: 10, max: 40 }))
  .map(([one, other]) => ({ low: Math.min(one, other), high: Math.max(one, other) }));

const minuteArbitrary = fc.integer({ min: 0, max: 240 });

/** Two bands that switch at a whole minute, and a window, all inside 0 to 4 h. */
export const questionArbitrary = fc
  .tuple(limitsArbitrary, limitsArbitrary, fc.integer({ min: 1, max: 239 }), minuteArbitrary, minuteArbitrary)
  .map(([first, second, switchMinute, one, other]) => {
    const switchMs = BASE_MS + switchMinute * MINUTE_MS;
    return {
      pieces: [
        { fromMs: BASE_MS, toMs: switchMs, ...first },
        { fromMs: switchMs, toMs: BASE_MS + 4 * HOUR_MS, ...second },
      ],
      window: {
        fromMs: BASE_MS + Math.min(one, other) * MINUTE_MS,
        toMs: BASE_MS + Math.max(one, other) * MINUTE_MS,
      },
    };
  });
export type Question = typeof questionArbitrary extends fc.Arbitrary<infer T> ? T : never;

/** The exposure a question asks for. */
export const ask = (segments: Segments, { pieces, window }: Question) =>
  bandExposure(segments, pieces, window);
