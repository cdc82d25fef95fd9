import { describe, expect, test } from 'vitest';
import type { PackFaultCode } from '../../../../../shared/faults.ts';
import { AT, decode, decodeText, one, readingsOf, refusalOf, root } from './sending.ts';

describe('values and units', () => {
  // Ice point 273.15 K = 0 °C = 32 °F and 5/9: SI Brochure, 9th edition, section 2.3.1; NIST SP 811 B.8.
  test.each([
    ['root/temperature', 'Cel', -150, -150, '°C'],
    ['root/temperature', 'Cel', 150, 150, '°C'],
    ['root/temperature', 'K', 273.15, 0, '°C'],
    ['root/temperature', 'degF', 32, 0, '°C'],
    ['root/temperature', 'degF', 212, 100, '°C'],
    ['air/humidity', '%RH', 105, 105, '%RH'],
    ['air/humidity', '/', 0.5, 50, '%RH'],
    ['light/illuminance', 'lx', 200_000, 200_000, 'lx'],
    ['light/ppfd', 'umol/m2/s', 4000, 4000, 'µmol m⁻² s⁻¹'],
    ['leaf/wetness', '/', 1, 1, ''],
    ['mist/valve', '/', 0, 0, ''],
    ['battery/level', '%EL', 100, 100, '%'],
    ['soil/pressure', 'hPa', 1e300, 1e300, 'hPa'],
  ])('%s of %s %d is stored as %d %s', (n, u, v, value, unit) => {
    // 1e-9: doubles near 300 are 5.7e-14 apart; no sensor shows that.
    expect(one({ n, u, v })).toMatchObject({ value: expect.closeTo(value, 9), unit });
  });

  const refusedFor: readonly (readonly [PackFaultCode, object])[] = [
    ['out-of-range', { n: 'root/temperature', u: 'Cel', v: -150.1 }],
    ['out-of-range', { n: 'root/temperature', u: 'Cel', v: 150.1 }],
    ['out-of-range', { n: 'root/temperature', u: 'K', v: 0 }],
    ['out-of-range', { n: 'air/humidity', u: '%RH', v: -0.1 }],
    ['out-of-range', { n: 'air/humidity', u: '%RH', v: 105.1 }],
    ['out-of-range', { n: 'air/humidity', u: '/', v: 1.06 }],
    ['out-of-range', { n: 'light/illuminance', u: 'lx', v: 200_001 }],
    ['out-of-range', { n: 'light/ppfd', u: 'umol/m2/s', v: 4001 }],
    ['out-of-range', { n: 'leaf/wetness', u: '/', v: 1.01 }],
    ['out-of-range', { n: 'mist/valve', u: '/', v: 2 }],
    ['out-of-range', { n: 'battery/level', u: '%EL', v: 101 }],
    ['out-of-range', { n: 'soil/ph', u: 'pH', bv: 1.7e308, v: 1.7e308 }],
    ['unit-missing', { n: 'air/humidity', v: 50 }],
    ['unit-unfit', { n: 'root/temperature', u: '%RH', v: 50 }],
    ['unit-unfit', { n: 'light/ppfd', u: 'W/m2', v: 50 }],
    ['unit-unfit', { n: 'mist/valve', u: 'Cel', vb: true }],
    ['unit-unknown', { n: 'soil/ec', u: 'mS/cm', v: 2 }],
    ['unit-unknown', { n: 'soil/x', u: 'constructor', v: 2 }],
    ['unit-unknown', { n: 'air/humidity', u: '%rh', v: 50 }],
    ['unit-unknown', { n: 'air/humidity', u: '', v: 50 }],
    ['no-value', { n: 'air/humidity', u: '%RH', bv: 50 }],
    ['several-values', { n: 'door', v: 1, vs: 'open' }],
    ['unsupported-value', { n: 'door', vs: 'open', s: 1 }],
    ['unsupported-value', { n: 'root/temperature', u: 'Cel', vb: false }],
    ['unsupported-version', { ...root, bver: 11 }],
    ['bad-field', { ...root, bver: 0 }],
    ['bad-field', { ...root, bver: 9.5 }],
    ['bad-field', { ...root, ut: -1 }],
    ['bad-field', { ...root, t: null }],
    ['bad-field', { n: 'mist/valve', vb: 1 }],
  ];
  test.each(refusedFor)('%s refuses %j', (code, record) => {
    expect(refusalOf(decode([record]))?.code).toBe(code);
  });

  test('1e999, which no double holds, is refused', () => {
    expect(refusalOf(decodeText('[{"n":"soil/ph","u":"pH","v":1e999}]'))?.code).toBe('bad-field');
  });

  test('the base value 20 is added to 3.5 and stays for the next record; minus zero is stored as zero', () => {
    const records = [
      { bv: 20, ...root, v: 3.5 },
      { ...root, t: -1, v: 1 },
    ];
    expect(readingsOf(decode(records)).map(({ value }) => value)).toEqual([23.5, 21]);
    expect(Object.is(readingsOf(decodeText('[{"n":"x","v":-0}]'))[0]?.value, 0)).toBe(true);
  });

  test('on and off of a valve are 1 and 0, and a base unit meant for others is not theirs', () => {
    const records = [
      { bu: 'Cel', n: 'air/temperature', v: 21 },
      { n: 'mist/valve', vb: true },
      { n: 'mist/valve', t: -60, vb: false },
      { n: 'door', vb: true },
    ];
    expect(readingsOf(decode(records)).map(({ value, unit }) => [value, unit])).toEqual([
      [21, '°C'],
      [1, ''],
      [0, ''],
      [1, null],
    ]);
  });

  test('the update time of 60 s goes with its record only, a sum beside a value is ignored', () => {
    const readings = readingsOf(decode([{ ...root, ut: 60, s: 7 }, root]));
    expect(readings.map(({ updateTimeS, value }) => [updateTimeS, value])).toEqual([
      [60, 23.4],
      [null, 23.4],
    ]);
  });

  test('two values of one probe at one time are both returned, in their order, for the store to judge', () => {
    const readings = readingsOf(decode([root, { ...root, v: 24 }]));
    expect(readings.map(({ value, tMs }) => [value, tMs])).toEqual([
      [23.4, AT],
      [24, AT],
    ]);
  });
});

describe('times', () => {
  // RFC 8428 section 4.5.3: below 2^28 s relative to now, from 2^28 s = 1978-07-04 21:24:16 UTC absolute.
  test.each([
    ['no time', {}, AT],
    ['t = 0', { t: 0 }, AT],
    ['t = -90.5', { t: -90.5 }, AT - 90_500],
    ['t = 300, the furthest ahead', { t: 300 }, AT + 300_000],
    ['bt = -60 and t = -1.25', { bt: -60, t: -1.25 }, AT - 61_250],
    ['t = 2^28', { t: 2 ** 28 }, Date.UTC(1978, 6, 4, 21, 24, 16)],
    ['bt = 2^28 + 5 and t = -5', { bt: 2 ** 28 + 5, t: -5 }, Date.UTC(1978, 6, 4, 21, 24, 16)],
    ['t = 1772611200.0004', { t: 1772611200.0004 }, Date.UTC(2026, 2, 4, 8)],
    ['t = 1772611200.0006', { t: 1772611200.0006 }, Date.UTC(2026, 2, 4, 8) + 1],
    ['bt = 1772611200 and t = 0.5', { bt: 1772611200, t: 0.5 }, Date.UTC(2026, 2, 4, 8) + 500],
  ])('%s becomes the right ms since 1970', (_what, time, tMs) => {
    expect(one({ ...root, ...time })?.tMs).toBe(tMs);
  });

  const refusedFor: readonly (readonly [PackFaultCode, object])[] = [
    ['time-in-future', { t: 300.001 }],
    ['time-in-future', { t: 2 ** 28 - 1 }],
    ['time-in-future', { t: AT / 1000 + 300.001 }],
    ['time-in-future', { t: AT }],
    ['time-in-future', { bt: 1.7e308, t: 1.7e308 }],
    ['bad-time', { bt: 2 ** 28, t: -(2 ** 31) }],
    ['bad-time', { t: -1.7e308 }],
  ];
  test.each(refusedFor)('%s refuses %j', (code, time) => {
    expect(refusalOf(decode([{ ...root, ...time }]))?.code).toBe(code);
  });

  test('a message the broker kept is read with an absolute time, and refused when one of 2 records has none', () => {
    const dated = { ...root, t: 1772611200 };
    expect(one(dated, { retainedCopy: true })?.tMs).toBe(Date.UTC(2026, 2, 4, 8));
    expect(refusalOf(decode([dated, root], { retainedCopy: true }))).toMatchObject({
      code: 'retained-without-time',
      pointer: '/1',
    });
  });
});
