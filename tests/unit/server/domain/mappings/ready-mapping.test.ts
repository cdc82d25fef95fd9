import { expect, test } from 'vitest';
import { readyMapping } from '../../../../../server/domain/mappings/ready-mapping.ts';
import { deviceNameSchema } from '../../../../../shared/model/probes/device.ts';
import { mappingSchema } from '../../../../../shared/model/probes/mapping.ts';

const mapping = (value: object, more: object = {}) =>
  mappingSchema.parse({
    filter: 'shed/+/state',
    device: { kind: 'named', name: 'shed' },
    placeId: null,
    time: { kind: 'arrival' },
    values: [{ pointer: '/t', probe: 'air/temperature', unit: 'Cel', ...value }],
    ...more,
  });

test.each([
  ['°C', 'air/temperature', 'Cel'],
  ['Cel', 'air/temperature', 'Cel'],
  ['°F', 'air/temperature', 'degF'],
  ['%RH', 'air/humidity', '%RH'],
  ['%', 'air/humidity', '%RH'],
  ['µmol m⁻² s⁻¹', 'light/ppfd', 'umol/m2/s'],
  ['ppm', 'co2', 'ppm'],
])('the unit %s of %s, as the page shows it, is kept as %s', (unit, probe, code) => {
  expect(readyMapping(mapping({ unit, probe })).values[0]?.unit).toBe(code);
});

test.each([
  ['a unit nobody knows', { unit: 'parrots' }, {}, '"parrots" is no unit known here'],
  ['a unit of another quantity', { unit: 'lx' }, {}, 'air/temperature has "lx"'],
  ['no unit for a temperature', { unit: null }, {}, 'air/temperature has no unit'],
  ['the probe of another device', { probe: 'attic/air/temperature' }, {}, 'another device'],
  ['a 4th level of 3', {}, { device: { kind: 'level', level: 4 } }, 'has 3 levels'],
] as const)('%s is refused when it is saved, as no message could be read', (_what, value, more, words) => {
  expect(() => readyMapping(mapping(value, more))).toThrow(words);
});

test('a 4th level is taken where # stands for any number of levels', () => {
  const deep = mapping({}, { filter: 'shed/#', device: { kind: 'level', level: 4 } });
  expect(readyMapping(deep)).toEqual(deep);
});

test('a device that may publish may have a secret: .a and -a too, but neither . nor .. nor a name of the daemon', () => {
  const may = (name: string) => deviceNameSchema.safeParse(name).success;
  expect(['.a', '-a', 'a.b', '.', '..', '', 'watch', 'a/b'].filter(may)).toEqual(['.a', '-a', 'a.b']);
});
