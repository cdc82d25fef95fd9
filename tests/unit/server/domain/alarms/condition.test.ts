import { describe, expect, test } from 'vitest';
import {
  CLEAR,
  type Condition,
  withSample,
  withTime,
} from '../../../../../server/domain/alarms/condition.ts';

/** The contract's delays and deadband, against 27 °C: met above 27, over at or below 26.5. */
const LIMIT = { limit: 27, deadband: 0.5, onDelayMs: 60_000, offDelayMs: 60_000 };

/** Samples as seconds and °C; returns the phase after each. */
function phases(samples: readonly (readonly [atS: number, valueC: number])[], limit = LIMIT) {
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

  test('of 0 s makes the first sample above 27 °C stand', () => {
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

  test('ends the on-delay at 60 s after the one sample of a probe that tells every 10 min', () => {
    expect(phaseAt(60, 900_000)).toBe('arming');
    expect(phaseAt(61, 900_000)).toBe('standing');
  });

  test('ends it no more once that sample is older than 15 min', () => {
    expect(phaseAt(901, 900_000)).toBe('standing');
    expect(phaseAt(902, 900_000)).toBe('arming');
  });

  test('never clears: 10 h of silence leave a standing and a clearing condition as they are', () => {
    const standing = withSample(armed, { tMs: 61_000, value: 28 }, LIMIT);
    const clearing = withSample(standing, { tMs: 70_000, value: 20 }, LIMIT);
    for (const one of [CLEAR, standing, clearing]) expect(phaseAt(36_000, 900_000, one)).toBe(one.phase);
  });
});
