import { expect, test } from 'vitest';
import { decodeMapped } from '../../../../../server/domain/mappings/decode-mapped.ts';
import { mappingSchema, type NewMapping } from '../../../../../shared/model/probes/mapping.ts';

/** 2026-03-04 08:00:00 UTC is 1772611200 s since 1970 (GNU date). */
const AT_S = 1_772_611_200;
const ARRIVED_MS = (AT_S + 7) * 1000;

const mappingOf = (given: object): NewMapping =>
  mappingSchema.parse({
    filter: 'house/+/climate',
    device: { kind: 'named', name: 'post' },
    placeId: null,
    time: { kind: 'arrival' },
    values: [{ pointer: '/t', probe: 'air/temperature', unit: 'Cel' }],
    ...given,
  });

function read(payload: unknown, given: object = {}, message: object = {}) {
  const text = typeof payload === 'string' ? payload : JSON.stringify(payload);
  const sent = { topic: 'house/3/climate', payload: new TextEncoder().encode(text) };
  return decodeMapped(
    { ...sent, arrivedAtMs: ARRIVED_MS, retainedCopy: false, ...message },
    mappingOf(given),
  );
}

const value = (probe: string, unit: string | null, rest: object = {}) => ({
  values: [{ pointer: '/t', probe, unit, ...rest }],
});
const timed = (as: string) => ({ time: { kind: 'pointer', pointer: '/at', as } });

test('3 values of one message are 3 readings of the device named by level 2 of the topic, in the order of the mapping', () => {
  const values = [
    { pointer: '/sensors/1/~0temp', probe: 'root/temperature', unit: 'Cel' },
    { pointer: '/sensors/0/a~1b', probe: 'air/humidity', unit: '%RH' },
    { pointer: '/sensors/0/t', probe: 'air/temperature', unit: 'Cel' },
  ];
  const payload = { sensors: [{ 'a/b': 88.5, t: '21.4' }, { '~temp': 22.75 }] };
  const decoded = read(payload, { values, device: { kind: 'level', level: 2 } });
  expect(decoded).toEqual({
    ok: true,
    device: '3',
    readings: [
      ['root/temperature', '°C', 22.75] as const,
      ['air/humidity', '%RH', 88.5] as const,
      ['air/temperature', '°C', 21.4] as const,
    ].map(([probe, unit, read]) => ({
      device: '3',
      probe,
      quantity: probe,
      unit,
      value: read,
      tMs: ARRIVED_MS,
      updateTimeS: null,
    })),
  });
});

// 212 °F is 100 °C and 32 °F is 0 °C by definition of the scale; 294.55 K − 273.15 = 21.4. Ratio × 100 = %RH.
test.each([
  [212, value('air/temperature', 'degF'), 100],
  [32, value('air/temperature', 'degF'), 0],
  [294.55, value('air/temperature', 'K'), 21.4],
  [0.885, value('air/humidity', '/'), 88.5],
  [5400, value('light/illuminance', 'lx'), 5400],
  [60, value('leaf/wetness', '/', { scale: 0.01 }), 0.6],
  [2140, value('air/temperature', 'Cel', { scale: 0.01 }), 21.4],
  [21, value('air/temperature', 'Cel', { scale: 2, offset: -1.5 }), 40.5],
  [true, value('mist/valve', '/'), 1],
  [false, value('mist/valve/2', '/'), 0],
  [12, value('soil/moisture', null), 12],
])('%j by %j is read as %d', (sent, mapping, expected) => {
  const decoded = read({ t: sent }, mapping);
  expect(decoded.ok && decoded.readings[0]?.value).toBeCloseTo(expected, 9);
});

test.each(['21.4', ' 21.40\n', '+21.4', '"21.4"', '2.14e1', '021.4'])(
  'the bare payload %j is read as 21.4 °C',
  (payload) => {
    const decoded = read(payload, {
      values: [{ pointer: '', probe: 'air/temperature', unit: 'Cel' }],
    });
    expect(decoded.ok && decoded.readings[0]?.value).toBe(21.4);
  },
);

test.each([
  ['rfc3339', '2026-03-04T08:00:00Z', 0],
  ['rfc3339', '2026-03-04T09:30:00.250+01:30', 250],
  ['rfc3339', '2026-03-04t03:00:00-05:00', 0],
  ['s', AT_S, 0],
  ['s', AT_S + 0.125, 125],
  ['s', String(AT_S), 0],
  ['ms', AT_S * 1000 + 1, 1],
])('as %s the time %j is 2026-03-04 08:00 UTC and %d ms', (as, at, ms) => {
  const decoded = read({ t: 20, at }, timed(as));
  expect(decoded.ok && decoded.readings[0]?.tMs).toBe(AT_S * 1000 + ms);
});

/** What was sent, by which mapping, is refused with which code, at which pointer. */
test.each([
  [{ h: 1 }, {}, 'mapped-nothing', '/t'],
  [{ t: null }, {}, 'mapped-nothing', '/t'],
  [{ t: [20] }, {}, 'mapped-no-number', '/t'],
  [{ t: '20 °C' }, {}, 'mapped-no-number', '/t'],
  [{ t: true }, {}, 'mapped-no-number', '/t'],
  [{ t: '' }, {}, 'mapped-no-number', '/t'],
  [{ t: 20 }, { values: [{ pointer: '', probe: 'air/temperature', unit: 'Cel' }] }, 'mapped-no-number', null],
  [{ t: 1000 }, {}, 'out-of-range', '/t'],
  ['{"t":1e999}', {}, 'out-of-range', '/t'],
  [{ t: 20 }, value('air/temperature', 'lx'), 'unit-unfit', '/t'],
  [{ t: 20 }, value('air/temperature', null), 'unit-missing', '/t'],
  [{ t: 20 }, value('air/temperature', 'degC'), 'unit-unknown', '/t'],
  [{ t: 20 }, timed('s'), 'mapped-nothing', '/at'],
  [{ t: 20, at: '2026-02-30T00:00:00Z' }, timed('rfc3339'), 'mapped-bad-time', '/at'],
  [{ t: 20, at: '2026-03-04 08:00' }, timed('rfc3339'), 'mapped-bad-time', '/at'],
  [{ t: 20, at: AT_S }, timed('rfc3339'), 'mapped-bad-time', '/at'],
  [{ t: 20, at: 'soon' }, timed('ms'), 'mapped-bad-time', '/at'],
  [{ t: 20, at: AT_S * 1000 }, timed('s'), 'time-in-future', '/at'],
  [{ t: 20, at: AT_S }, timed('ms'), 'bad-time', '/at'],
  [{ t: 20 }, { device: { kind: 'level', level: 4 } }, 'mapped-device', null],
  ['{"t":20', {}, 'not-json', null],
  ['', {}, 'not-json', null],
  [{ h: 1 }, value('air/temperature', 'Cel', { optional: true }), 'no-value', null],
] as const)('%j by %j is refused as %s at %s', (payload, given, code, pointer) => {
  expect(read(payload, given)).toMatchObject({ ok: false, refusal: { code, pointer } });
});

test('a value that may be missing is left out, and the other of 2 is stored', () => {
  const values = [
    { pointer: '/t', probe: 'air/temperature', unit: 'Cel' },
    { pointer: '/b', probe: 'battery/level', unit: '%EL', optional: true },
  ];
  const probes = (payload: object) => {
    const decoded = read(payload, { values });
    return decoded.ok && decoded.readings.map(({ probe }) => probe);
  };
  expect(probes({ t: 20 })).toEqual(['air/temperature']);
  expect(probes({ t: 20, b: null })).toEqual(['air/temperature']);
  expect(probes({ t: 20, b: 80 })).toEqual(['air/temperature', 'battery/level']);
});

test('a retained copy is refused by its arrival, and accepted by its own time', () => {
  const copy = { retainedCopy: true };
  expect(read({ t: 20 }, {}, copy)).toMatchObject({ refusal: { code: 'retained-without-time' } });
  expect(read({ t: 20, at: AT_S }, timed('s'), copy)).toMatchObject({ ok: true });
});

test('a topic level with a space is no device, 2 bytes of no UTF-8 and 65,537 bytes are refused', () => {
  const level = { device: { kind: 'level', level: 2 } };
  const refusal = (code: string) => ({ ok: false, refusal: { code } });
  expect(read({ t: 20 }, level, { topic: 'house/bed 3/climate' })).toMatchObject(refusal('mapped-device'));
  expect(read('', {}, { payload: new Uint8Array([0xc3, 0x28]) })).toMatchObject(refusal('not-utf8'));
  expect(read('1'.padEnd(65_537, ' '))).toMatchObject(refusal('payload-too-large'));
});

test.each([
  ['filter', { filter: 'strikewell/1/+/readings' }],
  ['filter', { filter: 'a#' }],
  ['values', { values: [] }],
  ['values', { values: Array(2).fill({ pointer: '/t', probe: 'air/temperature', unit: 'Cel' }) }],
  ['values', value('air/temperature', 'Cel', { pointer: 't' })],
  ['values', value('/x', 'Cel')],
  ['values', value('x', 'Cel', { scale: 0 })],
  ['device', { device: { kind: 'named', name: 'a b' } }],
  ['device', { device: { kind: 'level', level: 0 } }],
])('a mapping with a wrong %s is refused: %j', (field, given) => {
  const parsed = mappingSchema.safeParse({
    filter: 'house/#',
    device: { kind: 'named', name: 'post' },
    placeId: null,
    time: { kind: 'arrival' },
    values: [{ pointer: '/t', probe: 'air/temperature', unit: 'Cel' }],
    ...given,
  });
  expect(parsed.error?.issues.map(({ path }) => path[0])).toContain(field);
});
