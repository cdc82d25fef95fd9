import { Ajv2020 } from 'ajv/dist/2020.js';
import { describe, expect, test } from 'vitest';
import { z } from 'zod';
import { readingsPackSchema } from '../../../firmware-contracts/v1/readings.ts';
import { decodePack } from '../../../server/domain/ingest/decode.ts';
import { PACK_FAULTS } from '../../../shared/faults.ts';
import { EXAMPLE_ARRIVED_AT_MS, EXAMPLE_TOPIC, examples } from './examples.ts';

const AT = EXAMPLE_ARRIVED_AT_MS;
/** 1772611200 s in the examples: 2026-03-04 08:00 UTC; 1772607600 s: one hour before (GNU date). */
const EIGHT = Date.UTC(2026, 2, 4, 8);
const SEVEN = Date.UTC(2026, 2, 4, 7);

/** By hand from the examples: kelvin less 273.15; (68 °F − 32) × 5/9 = 20 °C; ratios × 100 where percent is kept. */
const EXPECTED: Readonly<Record<string, readonly (readonly [string, number, string | null, number])[]>> = {
  'one-reading.json': [['root/temperature', 23.4, '°C', AT]],
  'whole-bench.json': [
    ['root/temperature', 23.4, '°C', EIGHT],
    ['root/temperature/2', 22.9, '°C', EIGHT],
    ['air/temperature', 21.5, '°C', EIGHT],
    ['air/humidity', 92.5, '%RH', EIGHT],
    ['leaf/temperature', 20.75, '°C', EIGHT],
    ['wall/temperature', 17.25, '°C', EIGHT],
    ['outside/temperature', -3.5, '°C', EIGHT],
    ['light/illuminance', 5400, 'lx', EIGHT],
    ['light/ppfd', 100, 'µmol m⁻² s⁻¹', EIGHT],
    ['leaf/wetness', 0.5, '', EIGHT],
    ['mist/valve', 1, '', EIGHT],
    ['battery/level', 87, '%', EIGHT],
  ],
  'kept-while-offline.json': [
    ['air/humidity', 90, '%RH', SEVEN],
    ['air/humidity', 91.5, '%RH', SEVEN + 60_000],
    ['air/humidity', 93, '%RH', SEVEN + 120_250],
  ],
  'seconds-ago.json': [
    ['root/temperature', 22, '°C', AT - 120_000],
    ['root/temperature', 22.5, '°C', AT - 60_000],
    ['root/temperature', 23, '°C', AT],
  ],
  'other-units.json': [
    ['root/temperature', 22.5, '°C', AT],
    ['air/temperature', 20, '°C', AT],
    ['air/humidity', 75, '%RH', AT],
    ['mist/valve', 1, '', AT],
    ['battery/level', 50, '%', AT],
  ],
  'unassigned-probes.json': [
    ['soil/moisture', 0.25, '/', AT],
    ['light/irradiance', 180, 'W/m2', AT],
    ['door/open', 0, null, AT],
    ['counter', 7, null, AT],
  ],
  'base-fields-alone-first.json': [
    ['root/temperature', 23.5, '°C', EIGHT],
    ['air/temperature', 21.25, '°C', EIGHT],
  ],
  'fields-we-ignore.json': [['air/temperature', 21.5, '°C', AT]],
};

const decode = (payload: Uint8Array, retainedCopy = false) =>
  decodePack({ topic: EXAMPLE_TOPIC, payload, arrivedAtMs: AT, retainedCopy });

const jsonOf = (payload: Uint8Array): unknown => JSON.parse(new TextDecoder().decode(payload));

const schema = new Ajv2020({ strictTypes: false }).compile(
  z.toJSONSchema(readingsPackSchema, { target: 'draft-2020-12', io: 'input' }),
);

/** Faults one pack's JSON shows without knowing the probe, the topic or the time: the schema must catch them. */
const IN_SCHEMA = [
  'not-a-pack',
  'not-a-record',
  'bad-field',
  'must-understand',
  'no-value',
  'several-values',
  'unsupported-value',
  'unit-unknown',
];
/** Two of those need more than one record to be seen together, which a schema cannot do. */
const BEYOND_SCHEMA = ['no-value--base-fields-only.json', 'unsupported-value--on-for-a-temperature.json'];

describe('the example packs published for firmware authors', () => {
  test('8 valid examples are published, and each has its readings written down here', () => {
    expect(examples('valid').map(({ file }) => file)).toEqual(Object.keys(EXPECTED).sort());
  });

  test.each(examples('valid'))('the valid example $file decodes to its readings', ({ file, payload }) => {
    const decoded = decode(payload);
    const readings = decoded.ok ? decoded.readings : decoded.refusal;
    // 1e-9 K: kelvin less 273.15 is off by at most the spacing of doubles near 296, 5.7e-14.
    const expected = EXPECTED[file]?.map(([probe, value, unit, tMs]) =>
      expect.objectContaining({ device: 'bench-1', probe, value: expect.closeTo(value, 9), unit, tMs }),
    );
    expect(readings).toEqual(expected);
  });

  test.each(examples('valid'))('the valid example $file fits the published schema', ({ payload }) => {
    expect(schema(jsonOf(payload)), JSON.stringify(schema.errors)).toBe(true);
  });

  test.each(examples('invalid'))(
    'the invalid example $file is refused for the fault it is named after',
    ({ file, payload }) => {
      const [code] = file.split('--');
      const decoded = decode(payload, code === 'retained-without-time');
      expect(decoded).toMatchObject({ ok: false, refusal: { code, device: 'bench-1' } });
    },
  );

  test.each(
    examples('invalid').filter(
      ({ file }) => IN_SCHEMA.includes(file.split('--')[0] ?? '') && !BEYOND_SCHEMA.includes(file),
    ),
  )('the invalid example $file fails the published schema too', ({ payload }) => {
    expect(schema(jsonOf(payload))).toBe(false);
  });

  test('every fault of a pack has an example, but the 8 that no small JSON file can show', () => {
    const shown = new Set(examples('invalid').map(({ file }) => file.split('--')[0]));
    expect(Object.keys(PACK_FAULTS).filter((code) => !shown.has(code))).toEqual([
      'bad-topic',
      'payload-too-large',
      'not-utf8',
      'not-json',
      'too-many-records',
      'too-many-probes',
      'beyond-retention',
      'not-storable',
    ]);
  });
});
