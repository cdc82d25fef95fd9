import { expect, test } from 'vitest';
import { disagreements } from '../../../../web/batches/bands.ts';
import { TARGETS } from '../examples.ts';

const plain = (words: string) => words.replaceAll('\u00a0', ' ');

test('the same bands disagree in nothing', () => {
  expect(disagreements(TARGETS, TARGETS, 'C')).toEqual([]);
});

test('a root zone 3 K too cool and a VPD 0.2 kPa too dry are named, the furthest first', () => {
  const held = {
    ...TARGETS,
    rootZone: { ...TARGETS.rootZone, night: { lowC: 18.1, highC: 25.7 } },
    vpd: { lowKpa: 0.1, highKpa: 0.7 },
  };
  expect(disagreements(TARGETS, held, 'C').map(({ words }) => plain(words))).toEqual([
    'root zone by night: wants 21.1 to 26.7 °C, the place is held at 18.1 to 25.7 °C, up to 3.0 °C cooler',
    'VPD: wants 0.10 to 0.50 kPa, the place is held at 0.10 to 0.70 kPa, up to 0.20 kPa drier',
  ]);
});

test('a ceiling 2 K higher is 3.6 °F warmer to who reads °F', () => {
  const held = { ...TARGETS, air: { ...TARGETS.air, ceilingC: 28.7 } };
  expect(disagreements(TARGETS, held, 'F').map(({ words }) => plain(words))).toEqual([
    'air ceiling: wants 80.1 °F, the place has 83.7 °F, up to 3.6 °F warmer',
  ]);
});

test('less than a twentieth of a kelvin is agreement', () => {
  const held = { ...TARGETS, air: { ...TARGETS.air, ceilingC: 26.74 } };
  expect(disagreements(TARGETS, held, 'C')).toEqual([]);
});
