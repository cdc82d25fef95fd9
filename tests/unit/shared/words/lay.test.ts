import { expect, test } from 'vitest';
import { layWords } from '../../../../shared/words/lay.ts';

test.each([
  [
    'now.airVpdKpa',
    'How strongly the air pulls water from the leaves: low is damp, high dries the cuttings.',
  ],
  [
    'exposures.vpd.maxKpa',
    'How strongly the air pulls water from the leaves: low is damp, high dries the cuttings.',
  ],
  ['now.leafVpdKpa', 'taken at the leaf itself'],
  ['exposures.daylightVpd.kpaHours', 'times for how long'],
  ['exposures.rootZone.degreeHoursBelow', '2 °C out for 3 h is 6 °C·h'],
  ['exposures.light.days.0.dliMolM2', 'All the light of a day'],
])('%s is said in a lay sentence', (of, words) => {
  expect(layWords(of)).toContain(words);
});

test('a temperature needs none', () => {
  expect(layWords('now.airTemperatureC')).toBeNull();
});
