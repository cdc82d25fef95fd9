import { describe, expect, test } from 'vitest';
import {
  CLEAR,
  type Condition,
  type Limit,
  withSample as take,
  withTime,
} from '../../../../../server/domain/alarms/condition.ts';

/** The contract's delays and deadband, against 27 °C: met above 27, over at or below 26.5. */
const LIMIT = {
  sense: 'above',
  halving: null,
  deadband: 0.5,
  onDelayMs: 60_000,
  offDelayMs: 60_000,
} as const;
type Delays = Limit;
const withSample = (before: Condition, sample: { tMs: number; value: number }, limit: Delays = LIMIT) =>
  take(before, { ...sample, limit: 27 }, limit);

/** Samples as seconds and °C; returns the phase after each. */
function phases(samples: readonly (readonly [atS: number, valueC: number])[], limit: Delays = LIMIT) {
  let condition: Condition = CLEAR;
  return samples.map(([atS, value]) => {
    condition = withSample(condition, { tMs: atS * 1_000, value }, limit);
    return condition.phase;
  });
}

describe('the on-delay of 60 s', () => {
  test.each([
    [
      'is not over at 59 s',
      [
        [1, 28],
        [60, 28],
      ],
      ['arming', 'arming'],
    ],
    [
      'is over at exactly 60 s',
      [
        [1, 28],
        [61, 28],
      ],
      ['arming', 'standing'],
    ],
    [
      'starts anew after a sample at 27.0 °C, which is not above it',
      [
        [1, 28],
        [31, 27],
        [61, 28],
        [120, 28],
        [121, 28],
      ],
      ['arming', 'clear', 'arming', 'arming', 'standing'],
    ],
    [
      'never starts at exactly 27 °C',
      [
        [1, 27],
        [120, 27],
      ],
      ['clear', 'clear'],
    ],
  ] as const)('%s', (_name, samples, expected) => {
    expect(phases(samples)).toEqual(expected);
  });

  test('of 0 s makes the first sample above 27 °C active', () => {
    expect(phases([[1, 27.1]], { ...LIMIT, onDelayMs: 0 })).toEqual(['standing']);
  });
});

describe('the deadband of 0.5 K and the off-delay of 60 s', () => {
  const risen = [
    [1, 28],
    [61, 28],
  ] as const;
  test.each([
    [
      '26.6 °C is inside the deadband and clears nothing',
      [
        [70, 26.6],
        [700, 26.6],
      ],
      ['standing', 'standing'],
    ],
    [
      '26.5 °C clears after exactly 60 s',
      [
        [70, 26.5],
        [129, 26.5],
        [130, 26.5],
      ],
      ['clearing', 'clearing', 'clear'],
    ],
    [
      '26.6 °C in between starts the off-delay anew',
      [
        [70, 26],
        [100, 26.6],
        [131, 26],
        [190, 26],
        [191, 26],
      ],
      ['clearing', 'standing', 'clearing', 'clearing', 'clear'],
    ],
  ] as const)('%s', (_name, samples, expected) => {
    expect(phases([...risen, ...samples]).slice(2)).toEqual(expected);
  });

  test('an off-delay of 0 s clears at the first sample of 26.5 °C', () => {
    expect(phases([...risen, [70, 26.5]], { ...LIMIT, offDelayMs: 0 }).at(-1)).toBe('clear');
  });
});

test.each([
  ['clear', [[100, 20]]],
  ['arming', [[100, 28]]],
  [
    'standing',
    [
      [1, 28],
      [100, 28],
    ],
  ],
  [
    'clearing',
    [
      [1, 28],
      [61, 28],
      [100, 20],
    ],
  ],
] as const)('while %s, a sample of the same time or 1 s older changes nothing', (phase, samples) => {
  let condition: Condition = CLEAR;
  for (const [atS, value] of samples) condition = withSample(condition, { tMs: atS * 1_000, value }, LIMIT);
  expect(condition.phase).toBe(phase);
  for (const tMs of [100_000, 99_000]) {
    for (const value of [0, 26.8, 99]) expect(withSample(condition, { tMs, value }, LIMIT)).toBe(condition);
  }
});

describe('time without a sample', () => {
  const armed = withSample(CLEAR, { tMs: 0 + 1_000, value: 28 }, LIMIT);
  const phaseAt = (nowS: number, staleAfterMs: number, from = armed) =>
    withTime(from, { nowMs: nowS * 1_000, staleAfterMs }, LIMIT).phase;

  test('ends the on-delay at 60 s after the one sample of a probe that reports every 10 min', () => {
    expect(phaseAt(60, 900_000)).toBe('arming');
    expect(phaseAt(61, 900_000)).toBe('standing');
  });

  test('ends it no more once that sample is older than 15 min', () => {
    expect(phaseAt(901, 900_000)).toBe('standing');
    expect(phaseAt(902, 900_000)).toBe('arming');
  });

  test('never clears: 10 h of silence leave an active and a clearing condition as they are', () => {
    const deviation = withSample(armed, { tMs: 61_000, value: 28 }, LIMIT);
    const clearing = withSample(deviation, { tMs: 70_000, value: 20 }, LIMIT);
    for (const one of [CLEAR, deviation, clearing]) expect(phaseAt(36_000, 900_000, one)).toBe(one.phase);
  });
});

describe('a delay that is halved by each 5 K above 27 °C', () => {
  // by hand: 2^(5/5) = 2 ms spent a ms, 2^(10/5) = 4, 2^(0/5) = 1
  const HALVED = { ...LIMIT, halving: 5 };
  const over = (points: readonly (readonly [atS: number, valueC: number])[]) =>
    points.reduce((before, [atS, value]) => withSample(before, { tMs: atS * 1_000, value }, HALVED), CLEAR);

  test('60 s on-delay are over after 30 s at 32 °C, and after 15 s at 37 °C', () => {
    for (const [valueC, lastsS] of [
      [32, 30],
      [37, 15],
    ] as const) {
      const armed = over([[1, valueC]]);
      const lasted = (atS: number) => withTime(armed, { nowMs: atS * 1_000, staleAfterMs: 900_000 }, HALVED);
      expect([lasted(lastsS).phase, lasted(1 + lastsS).phase]).toEqual(['arming', 'standing']);
    }
  });

  test('20 s at 32 °C and 20 s at 27.0 °C and a bit spend 40 + 20 s', () => {
    const points = [
      [1, 32],
      [21, 27.000001],
    ] as const;
    expect(over([...points, [40.9, 27.000001]]).phase).toBe('arming');
    expect(over([...points, [41.1, 27.000001]]).phase).toBe('standing');
  });

  test('however hot, the pace grows no further than 2 to the 10th: 60 s are over after 59 ms at 1000 °C', () => {
    const armed = over([[1, 1_000]]);
    const at = (nowMs: number) => withTime(armed, { nowMs, staleAfterMs: 900_000 }, HALVED).phase;
    expect([at(1_058), at(1_059)]).toEqual(['arming', 'standing']);
  });
});

describe('a limit below, 27 °C', () => {
  const BELOW = { ...LIMIT, sense: 'below' } as const;
  test('is met under it and over at 27.5 °C; where nothing is asked it lapses, and is active by the next value that is no better', () => {
    const at = (before: Condition, tS: number, value: number, limit: number | null = 27) =>
      take(before, { tMs: tS * 1_000, value, limit }, BELOW);
    const cold = at(at(CLEAR, 1, 26), 61, 26);
    expect(cold.phase).toBe('standing');
    expect(at(cold, 70, 27.4).phase).toBe('standing');
    expect(at(cold, 70, 27.5).phase).toBe('clearing');
    const lapsed = at(cold, 70, 30, null);
    expect(lapsed).toMatchObject({ phase: 'lapsed', sinceMs: 70_000 });
    expect(at(lapsed, 90, 30, null)).toMatchObject({ phase: 'lapsed', sinceMs: 70_000 });
    expect(at(lapsed, 90, 27.4).phase).toBe('standing');
    expect(at(lapsed, 90, 27.5).phase).toBe('clearing');
    expect(at(CLEAR, 1, 20, null).phase).toBe('clear');
  });
});
