import { expect, test } from 'vitest';
import { latelyTogether, latelyWords, minutesLeftWords } from '../../../../shared/words/lately.ts';

const READER = { unit: 'C', timeZone: 'Europe/Oslo', nowMs: Date.UTC(2026, 2, 5, 14) } as const;
const FROM = { from: '2026-03-05T12:50:00Z', to: '2026-03-05T13:03:00Z', harm: 0.2 } as const;

test('what was beyond its limit says how far, for how long and from when, in the unit of the reader', () => {
  const hot = { ...FROM, kind: 'air-over-ceiling', peak: 33, furthest: 6.3 } as const;
  expect(latelyWords(hot, READER)).toBe('air was 6.3 °C over its ceiling for 13 min from 13:50');
  expect(latelyWords(hot, { ...READER, unit: 'F' })).toBe(
    'air was 11.3 °F over its ceiling for 13 min from 13:50',
  );
});

test('what goes on is not said to be over, and what began before today says its day', () => {
  const cold = { ...FROM, kind: 'root-zone-below-band', peak: 17, furthest: 4 } as const;
  const from = '2026-03-04T22:00:00Z';
  expect(latelyWords({ ...cold, from, to: null }, READER)).toBe(
    'root zone has been 4.0 °C below its band for 16 h from 23:00 on Wed 4 Mar',
  );
});

test('dry air is said in kPa, and a gap as what was not read', () => {
  const dry = { ...FROM, kind: 'vpd-above-band', peak: 0.9, furthest: 0.4 } as const;
  expect(latelyWords(dry, READER)).toBe('air was too dry, VPD 0.40 kPa above target for 13 min from 13:50');
  const gap = { ...FROM, kind: 'no-data', peak: null, furthest: null, harm: null } as const;
  expect(latelyWords({ ...gap, to: null }, READER)).toBe('no readings for 1 h 10 min from 13:50');
});

test('two dry spells are one sentence: how far the worse went, how long both lasted, how often and from when', () => {
  const dry = { ...FROM, kind: 'vpd-above-band', peak: 0.9, furthest: 0.4 } as const;
  const later = { ...dry, from: '2026-03-05T13:20:00Z', to: '2026-03-05T13:30:00Z', furthest: 0.6 } as const;
  const cold = { ...FROM, kind: 'root-zone-below-band', peak: 17, furthest: 4 } as const;
  expect(latelyTogether([dry, cold, later], READER)).toEqual([
    'air was too dry, VPD 0.60 kPa above target for 23 min in all, 2 times from 13:50',
    'root zone was 4.0 °C below its band for 13 min from 13:50',
  ]);
});

test('minutes left are said below a day, and when none are left', () => {
  expect(minutesLeftWords({ minutesLeft: null })).toBeNull();
  expect(minutesLeftWords({ minutesLeft: 1_440 })).toBeNull();
  expect(minutesLeftWords({ minutesLeft: 76.2 })).toBe(
    'At this rate cuttings without roots are expected to be damaged in 1 h 16 min.',
  );
  expect(minutesLeftWords({ minutesLeft: 0 })).toBe(
    'Cuttings without roots are expected to be damaged by now.',
  );
});
