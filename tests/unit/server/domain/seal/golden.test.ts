import { expect, test } from 'vitest';
import { decodeBlock, encodeBlock } from '../../../../../server/domain/seal/block.ts';
import { decodeGroup, encodeGroup } from '../../../../../server/domain/seal/group.ts';

/**
 * Bytes that version 1 must read and write for ever. They were put together from server/domain/seal/README.md by
 * another program (Python; struct for the doubles, zlib for the checksums), not by the code under test.
 */
type Golden = readonly (readonly [hex: string, meaning: string])[];

const T = 1_772_611_200_000;

const HUNDREDTHS: Golden = [
  ['01', 'version 1'],
  ['03', 'grid 3: 100 steps a unit'],
  ['26000000', '38 bytes'],
  ['03000000', '3 readings'],
  ['000040c67dcb7942', '1772611200000 as a double'],
  ['204e0000', '20000 ms from first to last'],
  ['00 a09c01 01 00', 'times: first 0, base 10000, grain 1, a run of width 0'],
  ['e841 04 06 01 02', 'values: first 4212, base 2, grain 6, a run of width 1: 0, −1'],
  ['deb1782b', 'checksum'],
];

const FLOATS: Golden = [
  ['01', 'version 1'],
  ['ff', 'floats'],
  ['4d000000', '77 bytes'],
  ['04000000', '4 readings'],
  ['000040c67dcb7942', '1772611200000 as a double'],
  ['18790000', '31000 ms from first to last'],
  ['00 a09c01 e807 02 08', 'times: first 0, base 10000, grain 1000, a run of width 2: 0, 1, 0'],
  ['aad5aafd07 f7eedd02 01', 'upper halves: first 3fd55555, base −2866108, grain 1'],
  ['20 78777700 00000000 edee4eff', 'a run of width 32, folded: 7829368, 0, 4283363053'],
  ['aad5aad50a 00 01', 'lower halves: first 55555555, base 0, grain 1'],
  ['20 00000000 8a888888 67666666', 'a run of width 32, folded: 0, 2290649226, 1717986919'],
  ['71cccbbb', 'checksum'],
];

const GROUP: Golden = [
  ['01', 'version 1'],
  ['04', '4 readings'],
  ['0e 02 a202 02 20', 'probe ids: first 7, base 1, grain 290, a run of width 2: 0, 0, 1'],
  ['b806 00 01 00', 'upper halves of the times: first 412, base 0, grain 1, a run of width 0'],
  ['ffef9c8209 00 28', 'lower halves of the times: first −1210293248, base 0, grain 40'],
  ['06 803003', 'a run of width 6: 0, 1, −26'],
  ['06 02 03 04 8100', 'codes: first 3, base 1, grain 3, a run of width 4: −1, 4, 0'],
  ['f420', '21.06: 2106 hundredths, twice'],
  ['0b', '−0.5: 5 tenths, twice, and 1'],
  ['cdcccc3d', '0.1 as a float'],
  ['555555555555d53f', '1/3 as a double'],
  ['a8115392', 'checksum'],
];

const bytesOf = (golden: Golden): Uint8Array =>
  Uint8Array.from(Buffer.from(golden.map(([hex]) => hex.replaceAll(' ', '')).join(''), 'hex'));

test.each([
  ['21.06, 21.07 and 21.05 at an even 10 s', HUNDREDTHS, [0, 10_000, 20_000], [21.06, 21.07, 21.05]],
  ['1/3, 2/3, 0.1 and −0.7', FLOATS, [0, 10_000, 21_000, 31_000], [1 / 3, 2 / 3, 0.1, -0.7]],
])('the block of %s has had the same bytes since version 1', (_, golden, afterMs, values) => {
  const record = {
    timesMs: Float64Array.from(afterMs, (ms) => T + ms),
    values: Float64Array.from(values),
  };
  expect(encodeBlock(record)).toEqual(bytesOf(golden));
  expect(decodeBlock(bytesOf(golden))).toEqual(record);
});

test('the group of 4 readings with 4 codes has had the same bytes since version 1', () => {
  const readings = [
    { probeId: 7, tMs: T, value: 21.06 },
    { probeId: 8, tMs: T, value: -0.5 },
    { probeId: 9, tMs: T + 40, value: Math.fround(0.1) },
    { probeId: 300, tMs: T - 1000, value: 1 / 3 },
  ];
  expect(encodeGroup(readings)).toEqual(bytesOf(GROUP));
  expect(decodeGroup(bytesOf(GROUP))).toEqual(readings);
});
