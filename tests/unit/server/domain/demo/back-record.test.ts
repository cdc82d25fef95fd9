import { describe, expect, it } from 'vitest';
import { earlierCasePacks } from '../../../../../server/domain/demo/case.ts';
import { BACK_CADENCE_MS, BACK_RECORD_MS, startDemo } from '../../../../../server/domain/demo/demo.ts';
import { DEMO_PLACES } from '../../../../../server/domain/demo/scenario.ts';
import { backRecord, DAY_MS, type Demo, goneTo, HOUR_MS, resolved } from './record.ts';

const NOON: Demo = { seed: 7, anchorMs: Date.UTC(2026, 3, 24, 10), utcOffsetMs: 2 * HOUR_MS };
const BENCH = 'demo-mist-bench/';
const DOME = 'demo-bottle-dome/';
const CASE = 'demo-heated-case/';
/** Ranges as the sensors' makers print them for common chips, from memory; the valve is shut or open. */
const UNITS_AND_RANGES = {
  [`${BENCH}root/temperature`]: ['Cel', 0, 60],
  [`${BENCH}root/temperature/2`]: ['Cel', 0, 60],
  [`${BENCH}air/temperature`]: ['Cel', 0, 60],
  [`${BENCH}air/humidity`]: ['%RH', 0, 100],
  [`${BENCH}light/ppfd`]: ['umol/m2/s', 0, 2500],
  [`${BENCH}mist/valve`]: ['/', 0, 1],
  [`${DOME}root/temperature`]: ['Cel', 0, 60],
  [`${DOME}air/temperature`]: ['Cel', 0, 60],
  [`${DOME}air/humidity`]: ['%RH', 0, 99.9],
  [`${DOME}light/illuminance`]: ['lx', 0, 120_000],
  [`${CASE}root/temperature`]: ['Cel', 0, 60],
  [`${CASE}air/temperature`]: ['Cel', 0, 60],
  [`${CASE}air/humidity`]: ['%RH', 0, 99.9],
  [`${CASE}light/ppfd`]: ['umol/m2/s', 0, 2500],
  [`${CASE}wall/temperature`]: ['Cel', 0, 60],
} as const;

const record = backRecord(NOON);

describe('the back record of the demo', () => {
  it('names three places and calls all of them demo', () => {
    expect(DEMO_PLACES.map((place) => [place.device, place.name])).toEqual([
      ['demo-mist-bench', 'Mist bench (invented)'],
      ['demo-bottle-dome', 'Bottle dome (invented)'],
      ['demo-heated-case', 'Heated case (invented)'],
    ]);
  });

  it('holds fifteen probes, each in its unit and within its chip’s range', () => {
    expect([...record.series.keys()].sort()).toEqual(Object.keys(UNITS_AND_RANGES).sort());
    for (const [name, [, low, high]] of Object.entries(UNITS_AND_RANGES)) {
      const outside = record.points(name).filter(({ value }) => !(value >= low && value <= high));
      expect(outside, name).toEqual([]);
    }
    const kinds = new Set(
      record.packs.flatMap((pack) => pack.records.map(({ n, u }) => `${pack.device}/${n} ${u}`)),
    );
    const known = Object.entries(UNITS_AND_RANGES).map(([name, [unit]]) => `${name} ${unit}`);
    expect([...kinds].sort()).toEqual(known.sort());
  });

  it('covers 14 days at 60 s, ends at the anchor and holds no time of a probe twice', () => {
    const { tMs: firstMs } = record.points(`${DOME}air/temperature`)[0] ?? { tMs: 0 };
    expect(record.points(`${DOME}air/temperature`)).toHaveLength(14 * 24 * 60);
    expect(firstMs).toBe(NOON.anchorMs - BACK_RECORD_MS + BACK_CADENCE_MS);
    expect(record.points(`${DOME}air/temperature`).at(-1)?.tMs).toBe(NOON.anchorMs);
    for (const [name, points] of record.series) {
      const backwards = points.filter((point, i) => point.tMs <= (points[i - 1]?.tMs ?? 0));
      expect(backwards, name).toEqual([]);
    }
  });

  it('comes in packs of at most 500 records and 20 minutes, each with a base name and a base time', () => {
    for (const { device, records } of record.packs.slice(0, 300)) {
      expect(records.length).toBeLessThanOrEqual(500);
      expect(records[0]).toMatchObject({ bn: `${device}/`, bt: expect.any(Number) });
      expect(Math.max(...records.map(({ t }) => t ?? 0))).toBeLessThanOrEqual(20 * 60);
    }
  });

  it('is the same for the same seed, and another for another', () => {
    const short = (seed: number): string =>
      JSON.stringify(backRecord({ ...NOON, seed, backRecordMs: 2 * DAY_MS }).packs);
    const once = short(7);
    expect(short(7)).toBe(once);
    expect(short(8) === once).toBe(false);
  });

  it('does not depend on how the way is cut: 36 h at once, in calls of 25 min and 5 s, and across JSON', () => {
    const start = startDemo({ ...NOON, backRecordMs: 2 * DAY_MS });
    const endMs = start.tMs + 36 * HOUR_MS;
    const whole = goneTo(start, endMs, BACK_CADENCE_MS);
    let state = start;
    const packs = [];
    for (let toMs = start.tMs; toMs < endMs; ) {
      toMs = Math.min(endMs, toMs + 1_505_000);
      const part = goneTo(JSON.parse(JSON.stringify(state)), toMs, BACK_CADENCE_MS);
      state = part.state;
      packs.push(...part.packs);
    }
    expect(state).toEqual(whole.state);
    expect(resolved(packs)).toEqual(resolved(whole.packs));
  });

  it('lives by the local day it is given: 7.5 h further east the sun rises at the same local hour', () => {
    const sunrise = (demo: Demo): number => {
      const { between, lastMidnightMs } = backRecord({ ...demo, backRecordMs: 3 * DAY_MS });
      const lit = between(`${BENCH}light/ppfd`, 1, [0, 24]).find(({ value }) => value > 10);
      return ((lit?.tMs ?? 0) - (lastMidnightMs - DAY_MS)) / HOUR_MS;
    };
    const west = sunrise(NOON);
    const east = sunrise({ ...NOON, utcOffsetMs: 9.5 * HOUR_MS });
    // An overcast sky may hold 10 µmol back for the best part of an hour.
    expect(Math.abs(east - west)).toBeLessThan(1);
    expect(west).toBeGreaterThan(5.5);
    expect(west).toBeLessThan(8);
  });

  it('is longer at the case: 47 days at 10 min, up to where the others begin', () => {
    const { frame } = startDemo(NOON);
    const beginMs = NOON.anchorMs - BACK_RECORD_MS;
    const packs = earlierCasePacks(frame, beginMs);
    const root = resolved(packs).get(`${CASE}root/temperature`) ?? [];
    expect(root).toHaveLength((47 - 14) * 144);
    expect(root.at(-1)?.tMs).toBeLessThan(beginMs);
    expect(Math.max(...packs.map(({ records }) => records.length))).toBeLessThanOrEqual(500);
  });

  it('has a case whose mat is dead for 5 h when it ends, and a wall probe that says the same for 2 days', () => {
    const root = record.points(`${CASE}root/temperature`);
    const at = (tMs: number) => root.findLast((point) => point.tMs <= tMs)?.value ?? Number.NaN;
    expect(at(NOON.anchorMs - 5 * HOUR_MS)).toBeGreaterThan(26);
    // by day and by night alike: 19.6 + 7.3 e^(−5/1.6)
    expect(at(NOON.anchorMs)).toBeLessThan(20.5);
    const wall = record.points(`${CASE}wall/temperature`);
    const stuck = wall.filter(({ tMs }) => tMs >= NOON.anchorMs - 2 * DAY_MS);
    expect(new Set(stuck.map(({ value }) => value)).size).toBe(1);
    expect(new Set(wall.slice(0, 100).map(({ value }) => value)).size).toBeGreaterThan(1);
  });
});
