import { describe, expect, test } from 'vitest';
import type { LightDay } from '../../../../shared/wire/places/light.ts';
import { lightBars, lightWords, scaleMol, stateOf } from '../../../../web/light/light-days.ts';
import { lightSumWords } from '../../../../web/light/light-sum.ts';

const DAY_MS = 86_400_000;
const day = (n: number, change: Partial<LightDay> = {}): LightDay => ({
  date: `2026-03-0${n}`,
  from: new Date(Date.UTC(2026, 2, n)).toISOString(),
  to: new Date(Date.UTC(2026, 2, n) + DAY_MS).toISOString(),
  dliMolM2: 6,
  coveredHours: 24,
  wantedLowMolM2: 5,
  wantedHighMolM2: 8,
  ...change,
});

describe('the light of days', () => {
  test.each([
    [{ dliMolM2: 4.9 }, 'below'],
    [{ dliMolM2: 5 }, 'within'],
    [{ dliMolM2: 8.1 }, 'above'],
    [{ dliMolM2: 1, coveredHours: 12 }, null],
    [{ wantedLowMolM2: null, wantedHighMolM2: null }, null],
  ])('%o is %s', (change, state) => {
    expect(stateOf(day(1, change))).toBe(state);
  });

  test('is drawn on an axis of time: a day that is not on record leaves its space empty', () => {
    const bars = lightBars([day(1), day(3, { dliMolM2: 10 })], { widthPx: 300, heightPx: 100 });
    expect(bars.map(({ x, width }) => x + width / 2)).toEqual([50, 250]);
    expect(bars.map(({ height }) => height)).toEqual([60, 100]);
    expect(bars[0]?.band).toEqual({ y: 20, height: 30 });
    expect(lightBars([], { widthPx: 300, heightPx: 100 })).toEqual([]);
  });

  test('without light the scale still has a height, and no day is said to be as wanted', () => {
    const dark = day(1, { dliMolM2: 0, wantedLowMolM2: null, wantedHighMolM2: null });
    expect(scaleMol([dark])).toBe(2);
    expect(lightWords([dark])).toBe('1 whole day on record; the targets say nothing of light.');
    expect(lightWords([day(1, { coveredHours: 3 })])).toBe('No day is on record as a whole yet.');
    expect(lightWords([])).toBe('No day is on record as a whole yet.');
  });

  test('is said in one sentence', () => {
    expect(lightWords([day(1), day(2)])).toBe('All of 2 whole days had the light that is wanted.');
    expect(lightWords([day(1, { dliMolM2: 2 }), day(2, { dliMolM2: 9 }), day(3)])).toBe(
      'Of 3 whole days 1 had less light than wanted, and 1 had more.',
    );
    expect(lightWords([day(1, { dliMolM2: 9 })])).toBe('Of 1 whole day 1 had more light than wanted.');
  });
});

test('the light sum of a batch stands against what is wanted, with a decimal that tells them apart', () => {
  const light = { days: 11, molM2: 58.2, wantedLowMolM2: 35, wantedHighMolM2: 58, byDay: [] };
  expect(lightSumWords(light)).toBe(
    'In 11 whole days it had 58.2 mol m⁻² of light, more than the 35.0 to 58.0 that its targets want.',
  );
  expect(lightSumWords({ ...light, days: 0 })).toBeNull();
});
