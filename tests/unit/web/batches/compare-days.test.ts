import { expect, test } from 'vitest';
import { dayRows, meanDifferenceWords } from '../../../../web/batches/compare-days.ts';

const plain = (text: string | null) => text?.replaceAll('\u00a0', ' ');

test('a difference within what both sensors may be off by names no warmer one', () => {
  const mean = {
    quantity: 'airTemperatureC',
    difference: 0.3,
    sensorErrorK: 0.42,
    toldApart: false,
  } as const;
  expect(plain(meanDifferenceWords(mean, ['A', 'B'], 'C'))).toBe(
    'The air of both is not told apart: 0.3 °C between the means, and the sensors may be off by 0.4 °C together.',
  );
  const clear = { ...mean, difference: -1.5, toldApart: true };
  expect(plain(meanDifferenceWords(clear, ['A', 'B'], 'F'))).toBe(
    'The air of B was 2.7 °F warmer in the mean than that of A; the sensors may be off by 0.8 °F together.',
  );
  expect(meanDifferenceWords({ ...mean, difference: null }, ['A', 'B'], 'C')).toBeNull();
});

test('each day since sticking is a row, a cell a batch, blank where nothing was read', () => {
  const nothing = {
    rootZoneMeanC: null,
    airMeanC: null,
    airMaxC: null,
    vpdMeanKpa: null,
    hoursSaturated: null,
    molM2: null,
    thermalDegreeHours: null,
    harm: null,
  };
  const days = { ids: ['1', '2'], days: [{ day: 1, values: [{ ...nothing, rootZoneMeanC: 21 }, nothing] }] };
  const [row] = dayRows(days, 'rootZoneMeanC', 'F');
  expect(row?.day).toBe(1);
  expect(row?.cells.map(plain)).toEqual(['69.8 °F', '']);
});
