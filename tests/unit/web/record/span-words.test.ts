import { describe, expect, test } from 'vitest';
import {
  condensationWords,
  leafVpdWords,
  needsWords,
  rootMinusAirWords,
  type Sentence,
  wetHoursWords,
} from '../../../../web/record/span-words.ts';

const said = (sentence: Sentence | null) =>
  sentence
    ?.map((piece) => (typeof piece === 'string' ? piece : piece.text))
    .join('')
    .replaceAll('\u00a0', ' ');
const paths = (sentence: Sentence | null) =>
  sentence?.flatMap((piece) => (typeof piece === 'object' && piece.path ? [piece.path] : []));
const estimates = (sentence: Sentence | null) =>
  sentence?.flatMap((piece) => (typeof piece === 'object' && piece.estimated ? [piece.text] : []));

describe('root zone against air', () => {
  const answer = {
    coveredHours: 24,
    hoursAirWarmer: 2.4,
    degreeHoursAirWarmer: 4.2,
    minK: -3.9,
    maxK: 7.4,
    meanK: 2.7,
  };

  test('2.7 warmer on average, the air the warmer for 2.4 h by 3.9 at most: each of the 4 numbers can be asked', () => {
    const words = rootMinusAirWords(answer, 'C');
    expect(said(words)).toBe(
      'On average the root zone was 2.7 °C warmer than the air. The air was the warmer for 2.4 h, by 3.9 °C at most and 4.2 °C·h in all.',
    );
    expect(paths(words)).toEqual([
      'rootMinusAir.meanK',
      'rootMinusAir.hoursAirWarmer',
      'rootMinusAir.minK',
      'rootMinusAir.degreeHoursAirWarmer',
    ]);
  });

  test('in °F differences are × 9/5 without the 32: 2.7 K are 4.9, 3.9 K are 7.0, 4.2 K·h are 7.6', () => {
    // by hand: 2.7 × 1.8 = 4.86; 3.9 × 1.8 = 7.02; 4.2 × 1.8 = 7.56
    expect(said(rootMinusAirWords(answer, 'F'))).toContain('4.9 °F warmer');
    expect(said(rootMinusAirWords(answer, 'F'))).toContain('by 7.0 °F at most and 7.6 °F·h');
  });

  test('a mean of −0.5 is cooler, an air that was never warmer is said in words, and nothing on record says nothing', () => {
    expect(said(rootMinusAirWords({ ...answer, meanK: -0.5 }, 'C'))).toContain('0.5 °C cooler');
    expect(said(rootMinusAirWords({ ...answer, hoursAirWarmer: 0 }, 'C'))).toContain('never the cooler');
    expect(rootMinusAirWords({ ...answer, coveredHours: 0 }, 'C')).toBeNull();
  });
});

describe('the leaf', () => {
  const leafVpd = { coveredHours: 24, kpaHours: 3.58, maxKpa: 0.89, meanKpa: 0.15, assumedOffsetK: 0 };
  const daylightVpd = { coveredHours: 14, kpaHours: 2.01 };

  test('an assumed offset of 0.0 is the only estimate marked, and the hours of daylight are shown', () => {
    const words = leafVpdWords({ leafVpd, daylightVpd }, 'C');
    expect(estimates(words)).toEqual(['assumed leaf offset of 0.0\u00a0°C']);
    expect(said(words)).toContain('Air VPD in daylight: 2.01 kPa·h over 14.0 h of day on record.');
    expect(paths(words)).toHaveLength(5);
  });

  test('a leaf temperature that is estimated from the light is marked as an estimate', () => {
    const lit = { leafVpd: { ...leafVpd, assumedOffsetK: null, offsetFrom: 'light' } as const, daylightVpd };
    expect(estimates(leafVpdWords(lit, 'C'))).toEqual(['leaf temperature estimated from the light']);
    expect(said(leafVpdWords(lit, 'C'))).not.toContain('by the leaf probe');
  });

  test('an offset of −1.5 K keeps its sign, as −2.7 in °F; a leaf probe leaves no estimate', () => {
    const colder = { leafVpd: { ...leafVpd, assumedOffsetK: -1.5 }, daylightVpd };
    expect(estimates(leafVpdWords(colder, 'F'))).toEqual(['assumed leaf offset of −2.7\u00a0°F']);
    const probed = leafVpdWords({ leafVpd: { ...leafVpd, assumedOffsetK: null }, daylightVpd }, 'C');
    expect(estimates(probed)).toEqual([]);
    expect(said(probed)).toContain('by the leaf probe');
  });
});

describe('dew', () => {
  const answer = { surface: 'wall', coveredHours: 24, hoursBelowDewPoint: 1.2, minMarginK: -0.8 } as const;

  test('a wall below the dew point for 1.2 h is wet, 0.8 below at its coldest', () => {
    expect(said(condensationWords(answer, 'C'))).toBe(
      'The wall lay below the dew point of the air for 1.2 h, wet with dew; at its coldest it was 0.8 °C below the dew point.',
    );
  });

  test('a wall that stayed 1.5 above is dry, and an outside probe is said to stand in', () => {
    const dry = { ...answer, surface: 'outside', hoursBelowDewPoint: 0, minMarginK: 1.5 } as const;
    const words = condensationWords(dry, 'C');
    expect(said(words)).toContain(
      'stayed above the dew point of the air; at its nearest it was 1.5 °C above',
    );
    expect(estimates(words)).toEqual(['the outside air stands in']);
  });

  test('without a surface, and without a record, nothing is said', () => {
    expect(condensationWords({ ...answer, surface: null }, 'C')).toBeNull();
    expect(condensationWords({ ...answer, coveredHours: 0 }, 'C')).toBeNull();
  });
});

test('wet hours are a counter, never a diagnosis, and shown only where 1 condition could be counted', () => {
  const row = { condition: 'a', name: 'a', coveredHours: 0, hours: 0, longestHours: 0, source: '[A]' };
  expect(wetHoursWords([row])).toBeNull();
  const words = said(wetHoursWords([row, { ...row, coveredHours: 5 }]));
  expect(words).toContain('a counter, never a diagnosis');
  expect(words).toContain('Cuttings before rooting live in such hours on purpose');
});

test('of 2 parts with nothing to say one line names what each needs; of none there is no line', () => {
  expect(needsWords(['condensation', 'light'])).toBe(
    'Not available: condensation needs a wall probe, or an outside one to stand in; light needs a light probe.',
  );
  expect(needsWords([])).toBeNull();
});
