import { describe, expect, test } from 'vitest';
import { MAX_BATCH, MIN_BATCH, nextBatch } from '../../../../../server/domain/exchange/read/batch.ts';
import {
  createRehearsal,
  MAX_REMEMBERED,
  type Stretch,
} from '../../../../../server/domain/exchange/read/rehearsal.ts';
import { MAX_LISTED, Tally } from '../../../../../server/domain/exchange/read/tally.ts';
import type { DecodedReading } from '../../../../../server/domain/ingest/decode.ts';

const HOUR_MS = 3_600_000;
const reading = (tMs: number, value = 20, probe = 'air/temperature'): DecodedReading => ({
  device: 'bench',
  probe,
  quantity: null,
  unit: '°C',
  tMs,
  value,
  updateTimeS: null,
});
const nothing = () => new Map();

describe('the size of a transaction', () => {
  test.each([
    [800, 11, 400],
    [60, 100, MIN_BATCH],
    [400, 10, 400],
    [400, 3, 800],
    [800, 1, MAX_BATCH],
  ])('after %i readings in %i ms comes one of %i', (size, tookMs, next) => {
    expect(nextBatch({ size, tookMs })).toBe(next);
  });
});

describe('a dry run', () => {
  test('of 4 readings the 2nd repeats the 1st, the 3rd differs from it, and the 4th is of another probe', () => {
    const rehearse = createRehearsal(nothing);
    const outcomes = rehearse([reading(0), reading(0), reading(0, 21), reading(0, 20, 'root/temperature')]);
    expect(outcomes).toEqual(['stored', 'repeat', 'conflict', 'stored']);
  });

  test('sees what is stored, and asks for stretches of less than 6 h', () => {
    const asked: Stretch[] = [];
    const rehearse = createRehearsal((stretch) => {
      asked.push(stretch);
      return new Map([
        ['air/temperature', { timesMs: Float64Array.of(0, HOUR_MS), values: Float64Array.of(20, 21) }],
      ]);
    });
    const outcomes = rehearse([reading(9 * HOUR_MS), reading(HOUR_MS, 22), reading(0), reading(1)]);
    // in the order of time: 0, 1, 1 h, 9 h
    expect(outcomes).toEqual(['repeat', 'stored', 'conflict', 'stored']);
    expect(asked.map(({ fromMs, toMs }) => toMs - fromMs < 6 * HOUR_MS)).toEqual([true, true]);
  });

  test(`remembers the last ${MAX_REMEMBERED} readings, and never more than twice as many`, () => {
    const rehearse = createRehearsal(nothing);
    for (let t = 0; t < 3 * MAX_REMEMBERED; t++) rehearse([reading(t)]);
    expect(rehearse([reading(2 * MAX_REMEMBERED)])).toEqual(['repeat']);
    expect(rehearse([reading(MAX_REMEMBERED - 1)])).toEqual(['stored']);
  });
});

describe('the tally', () => {
  test(`lists ${MAX_LISTED} bad rows of 150, and counts all`, () => {
    const tally = new Tally(() => true);
    for (let line = 1; line <= 150; line++) tally.row({ line, kind: 'bad', reason: 'x' });
    const { bad, rows } = tally.counted(null);
    expect([rows, bad.count, bad.listed.length, bad.listed.at(-1)?.line]).toEqual([
      150,
      150,
      MAX_LISTED,
      100,
    ]);
  });

  test(`lists ${MAX_LISTED} lines of 150 in a repeated hour, asked about or taken`, () => {
    const tally = new Tally(() => true);
    for (let line = 1; line <= 75; line++) tally.row({ line, kind: 'asks' });
    for (let line = 76; line <= 150; line++)
      tally.row({ line, kind: 'readings', readings: [], repeated: true });
    const { repeatedHour } = tally.counted('first');
    expect(repeatedHour).toMatchObject({ rows: 150, taken: 'first' });
    expect(repeatedHour.lines).toHaveLength(MAX_LISTED);
  });

  test('counts readings by probe, new or known, and the span of their times', () => {
    const tally = new Tally((probe) => probe === 'co2');
    tally.row({
      line: 2,
      kind: 'readings',
      readings: [reading(HOUR_MS), reading(0, 400, 'co2')],
      repeated: false,
    });
    expect(tally.counted(null)).toMatchObject({
      rows: 1,
      readings: 2,
      from: '1970-01-01T00:00:00.000Z',
      to: '1970-01-01T01:00:00.000Z',
      probes: [
        { probe: 'air/temperature', readings: 1, isNew: false },
        { probe: 'co2', readings: 1, isNew: true },
      ],
    });
    expect(tally.newProbes).toBe(1);
  });
});
