import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { z } from 'zod';
import { MAX_PAYLOAD_BYTES, MAX_RECORDS } from '../../../../../firmware-contracts/v1/limits.ts';
import { readingsTopic } from '../../../../../firmware-contracts/v1/topics.ts';
import type { Track } from '../../../../../server/domain/exchange/read/tracks.ts';
import {
  CSV_READINGS,
  NDJSON_READINGS,
  SENML_READINGS,
} from '../../../../../server/domain/exchange/write/readings-out.ts';
import { senmlPacks } from '../../../../../server/domain/exchange/write/senml-write.ts';
import { decodePack } from '../../../../../server/domain/ingest/decode.ts';
import {
  NOW_MS,
  type Point,
  pointsOf,
  pointsOfTracks,
  probeNamed,
  readCsv,
  readSenml,
  tracksArbitrary,
} from './support.ts';

const HOUR_MS = 3_600_000;
const deviceOf = (tracks: readonly Track[]): string => tracks[0]?.probe.device ?? '';

const lineSchema = z.strictObject({
  time: z.iso.datetime(),
  device: z.string(),
  probe: z.string(),
  quantity: z.string().nullable(),
  unit: z.string(),
  value: z.number(),
});

/** The same numbers, bit for bit: 0 and −0 differ here. */
function expectSame(found: readonly Point[], expected: readonly Point[]): void {
  expect(found).toHaveLength(expected.length);
  for (const [i, point] of expected.entries()) {
    expect([found[i]?.probe, found[i]?.tMs]).toEqual([point.probe, point.tMs]);
    expect(Object.is(found[i]?.value, point.value), `${found[i]?.value} is ${point.value}`).toBe(true);
  }
}

/** Tracks cut at every hour, as they are exported. */
function slicesOf(tracks: readonly Track[]): Track[][] {
  const hours = [
    ...new Set(tracks.flatMap(({ timesMs }) => Array.from(timesMs, (t) => Math.floor(t / HOUR_MS)))),
  ];
  return hours
    .sort((a, b) => a - b)
    .map((hour) =>
      tracks.map(({ probe, timesMs, values }) => {
        const at = Array.from(timesMs).flatMap((t, i) => (Math.floor(t / HOUR_MS) === hour ? [i] : []));
        return { probe, timesMs: at.map((i) => timesMs[i] ?? 0), values: at.map((i) => values[i] ?? 0) };
      }),
    );
}

describe('what was exported is imported bit for bit', () => {
  test('as CSV, whatever the probes, units, times and values, with the mapping the file proposes', () => {
    fc.assert(
      fc.property(tracksArbitrary, fc.integer({ min: 1, max: 99 }), (tracks, pieceChars) => {
        const head = CSV_READINGS.head(tracks.map(({ probe }) => probe));
        const text = head + slicesOf(tracks).map(CSV_READINGS.body).join('');
        const { items, reader } = readCsv(text, { device: deviceOf(tracks) }, pieceChars);
        expect(reader.plan()?.undecided).toEqual([]);
        expectSame(pointsOf(items), pointsOfTracks(tracks));
      }),
      { numRuns: 200 },
    );
  });

  test('as SenML, and each pack holds what a message may: 500 records, 64 KiB', () => {
    fc.assert(
      fc.property(tracksArbitrary, fc.integer({ min: 1, max: 99 }), (tracks, pieceChars) => {
        const text = slicesOf(tracks).map(SENML_READINGS.body).join('');
        const { items } = readSenml(text, { device: deviceOf(tracks) }, pieceChars);
        expectSame(pointsOf(items), pointsOfTracks(tracks));
      }),
      { numRuns: 200 },
    );
  });

  test('as NDJSON every line is one reading, in the order of time', () => {
    fc.assert(
      fc.property(tracksArbitrary, (tracks) => {
        const text = slicesOf(tracks).map(NDJSON_READINGS.body).join('');
        const lines = text
          .split('\n')
          .slice(0, -1)
          .map((line) => lineSchema.parse(JSON.parse(line)));
        expect(lines.map(({ time }) => time).toSorted()).toEqual(lines.map(({ time }) => time));
        const points = lines.map(({ probe, time, value }) => ({ probe, tMs: Date.parse(time), value }));
        expectSame(
          points.toSorted((a, b) => a.probe.localeCompare(b.probe) || a.tMs - b.tMs),
          pointsOfTracks(tracks),
        );
      }),
      { numRuns: 100 },
    );
  });
});

describe('packs', () => {
  const track = (name: string, device: string, count: number): Track => ({
    probe: probeNamed(name, { device }),
    timesMs: Array.from({ length: count }, (_, i) => Date.UTC(2026, 5, 1) + i * 10_000 + 123),
    values: Array.from({ length: count }, (_, i) => 20 + i / 77),
  });
  const decoded = (device: string, json: string) =>
    decodePack({
      topic: readingsTopic(device),
      payload: new TextEncoder().encode(json),
      arrivedAtMs: NOW_MS,
      retainedCopy: true,
    });

  test(`1,001 readings make packs of ${MAX_RECORDS}, 500 and 1 records, each of which may be published as it is`, () => {
    const packs = senmlPacks([track('air/temperature', 'bench', 1_001)]);
    const read = packs.map(({ device, json }) => decoded(device, json));
    expect(read.map((each) => (each.ok ? each.readings.length : each.refusal))).toEqual([500, 500, 1]);
  });

  test('long names keep a pack under 64 KiB', () => {
    const tracks = Array.from({ length: 7 }, (_, i) => track(`${'n'.repeat(90)}${i}`, 'bench', 500));
    const sizes = senmlPacks(tracks).map(({ json }) => json.length);
    expect(Math.max(...sizes)).toBeLessThanOrEqual(MAX_PAYLOAD_BYTES);
    expect(sizes.length).toBeGreaterThan(7);
  });

  test('2 devices never share a pack', () => {
    const packs = senmlPacks([track('air/temperature', 'a', 3), track('air/temperature', 'b', 2)]);
    expect(packs.map(({ device, json }) => [device, JSON.parse(json).length])).toEqual([
      ['a', 3],
      ['b', 2],
    ]);
  });

  test('the unassigned probe "temperature" of the device "root" is not read as a root zone', () => {
    const [pack] = senmlPacks([track('temperature', 'root', 1)]);
    const read = decoded('root', pack?.json ?? '');
    expect(read.ok && read.readings[0]).toMatchObject({ probe: 'temperature', quantity: null });
  });
});
