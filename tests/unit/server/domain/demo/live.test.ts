import { describe, expect, it } from 'vitest';
import { LIVE_CADENCE_MS, MAX_ADVANCE_MS, stepDemo } from '../../../../../server/domain/demo/demo.ts';
import { backRecord, DAY_MS, goneTo, HOUR_MS, type Point, resolved } from './record.ts';

const ANCHOR_MS = Date.UTC(2026, 3, 24, 10, 0, 7);
const record = backRecord({ seed: 7, anchorMs: ANCHOR_MS, utcOffsetMs: 2 * HOUR_MS });
const atNoonLocal = record.state;

/**
 * Most a value may move in the first 10 s after the back record, in the probe's unit: six standard deviations of
 * noise at either end, two steps of the chip, and a rate by hand. Temperatures 1 K in 5 min at the bench, 10 K in
 * 5 min in the sunlit dome; medium 2 K in 15 min; humidity 15 %RH in a minute after a pulse or under a lifted cap;
 * light may go from cloud to sun.
 */
const MOST: Readonly<Record<string, number>> = {
  'demo-mist-bench/root/temperature': 0.35,
  'demo-mist-bench/root/temperature/2': 0.35,
  'demo-mist-bench/air/temperature': 0.35,
  'demo-mist-bench/air/humidity': 5,
  'demo-mist-bench/light/ppfd': 300,
  'demo-mist-bench/mist/valve': 1,
  'demo-bottle-dome/root/temperature': 0.35,
  'demo-bottle-dome/air/temperature': 0.6,
  'demo-bottle-dome/air/humidity': 5,
  'demo-bottle-dome/light/illuminance': 70_000,
  'demo-heated-case/root/temperature': 0.35,
  'demo-heated-case/air/temperature': 0.5,
  'demo-heated-case/air/humidity': 2,
  'demo-heated-case/light/ppfd': 10,
  'demo-heated-case/wall/temperature': 0,
};

const jumpAt = (before: readonly Point[], after: readonly Point[]): number =>
  Math.abs((after[0]?.value ?? Number.NaN) - (before.at(-1)?.value ?? Number.NaN));

describe('the live demo', () => {
  it('goes on from the back record without a jump, 15 probes within noise and rate', () => {
    const { packs } = stepDemo(atNoonLocal, { toMs: atNoonLocal.tMs + 10_000, cadenceMs: LIVE_CADENCE_MS });
    const live = resolved(packs);
    expect([...live.keys()].sort()).toEqual(Object.keys(MOST).sort());
    for (const [name, most] of Object.entries(MOST))
      expect(jumpAt(record.points(name), live.get(name) ?? []), name).toBeLessThanOrEqual(most);
  });

  it('sends one small pack a device every 10 s, timed not after the time it is given', () => {
    let state = atNoonLocal;
    for (let i = 1; i <= 6; i++) {
      const toMs = atNoonLocal.tMs + i * 10_000 + 3_000;
      const next = stepDemo(state, { toMs, cadenceMs: LIVE_CADENCE_MS });
      expect(next.packs.map(({ device }) => device)).toEqual([
        'demo-mist-bench',
        'demo-bottle-dome',
        'demo-heated-case',
      ]);
      for (const points of resolved(next.packs).values())
        for (const { tMs } of points) {
          expect(tMs).toBeLessThanOrEqual(toMs);
          expect(tMs).toBeGreaterThan(state.tMs - 10_000);
        }
      state = next.state;
    }
  });

  it('says nothing for a time not 10 s ahead, and does not go back', () => {
    for (const toMs of [atNoonLocal.tMs - DAY_MS, atNoonLocal.tMs, atNoonLocal.tMs + 9_999])
      expect(stepDemo(atNoonLocal, { toMs, cadenceMs: LIVE_CADENCE_MS })).toEqual({
        state: atNoonLocal,
        packs: [],
      });
  });

  it('advances one day at most a call and never packs more than 500 records', () => {
    const toMs = atNoonLocal.tMs + 2 * DAY_MS;
    const next = stepDemo(atNoonLocal, { toMs, cadenceMs: LIVE_CADENCE_MS });
    expect(next.state.tMs).toBe(atNoonLocal.tMs + MAX_ADVANCE_MS);
    expect(Math.max(...next.packs.map(({ records }) => records.length))).toBeLessThanOrEqual(500);
  });

  it('stays within 5 and 42 °C and under 100 %RH for 10 days after the back record', () => {
    const later = resolved(goneTo(atNoonLocal, atNoonLocal.tMs + 10 * DAY_MS, 600_000).packs);
    for (const name of Object.keys(MOST).filter((probe) => probe.includes('temperature')))
      for (const { value } of later.get(name) ?? []) {
        expect(value).toBeGreaterThan(5);
        expect(value).toBeLessThan(42);
      }
    expect(later.get('demo-bottle-dome/air/humidity')?.every(({ value }) => value <= 100)).toBe(true);
  });
});
