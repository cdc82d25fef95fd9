import fc from 'fast-check';
import { MS_PER_HOUR, type ProbeRecord } from '../../../../../shared/exposure/series.ts';

export const HOUR_START_MS = 1_772_611_200_000;

/** Any finite double: both zeros, subnormals and the largest among them. */
const anyFinite = fc.double({ noNaN: true, noDefaultInfinity: true });

const onGrid = fc
  .tuple(fc.integer({ min: -20_000, max: 20_000 }), fc.constantFrom(1, 10, 16, 100, 128, 1000, 10_000))
  .map(([steps, perUnit]) => steps / perUnit);

const awkward = fc.constantFrom(
  0,
  -0,
  5e-324,
  -5e-324,
  Number.MAX_VALUE,
  -Number.MAX_VALUE,
  2 ** 30,
  2 ** 30 - 1,
  0.1 + 0.2,
  1e-6,
);

export const anyValue = fc.oneof(anyFinite, onGrid, awkward);

/** Values of one kind, so that each code is chosen often. */
const valuesOf = (count: number) =>
  fc.oneof(
    ...[
      anyFinite,
      onGrid,
      awkward,
      fc.float({ noNaN: true, noDefaultInfinity: true }),
      fc.constantFrom(0, -0, 0.1, -0.1),
    ].map((value) => fc.array(value, { minLength: count, maxLength: count })),
  );

const anyTimes = fc
  .uniqueArray(fc.integer({ min: 0, max: MS_PER_HOUR - 1 }), { minLength: 1, maxLength: 300 })
  .map((times) => times.toSorted((a, b) => a - b));

const evenTimes = fc
  .record({ count: fc.integer({ min: 1, max: 360 }), stepMs: fc.constantFrom(1, 999, 1000, 9999, 10_000) })
  .map(({ count, stepMs }) => Array.from({ length: count }, (_, i) => i * stepMs));

/** 1 to 360 readings in one hour, times even or any, values of any kind. */
export const anyRecord: fc.Arbitrary<ProbeRecord> = fc.oneof(anyTimes, evenTimes).chain((afterMs) =>
  valuesOf(afterMs.length).map((values) => ({
    timesMs: Float64Array.from(afterMs, (ms) => HOUR_START_MS + ms),
    values: Float64Array.from(values),
  })),
);
