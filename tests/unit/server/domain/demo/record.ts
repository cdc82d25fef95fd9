import {
  BACK_CADENCE_MS,
  type DemoState,
  startDemo,
  stepDemo,
} from '../../../../../server/domain/demo/demo.ts';
import type { DemoPack } from '../../../../../server/domain/demo/packs.ts';

export const HOUR_MS = 3_600_000;
export const DAY_MS = 24 * HOUR_MS;

export type Point = { readonly tMs: number; readonly value: number };

/** Packs as a reader of RFC 8428 resolves them: points by `<device>/<probe>`. */
export function resolved(packs: readonly DemoPack[]): ReadonlyMap<string, readonly Point[]> {
  const series = new Map<string, Point[]>();
  for (const pack of packs) {
    let name = '';
    let baseS = 0;
    for (const record of pack.records) {
      name = record.bn ?? name;
      baseS = record.bt ?? baseS;
      const points = series.get(name + record.n) ?? [];
      points.push({ tMs: Math.round(1000 * (baseS + (record.t ?? 0))), value: record.v });
      series.set(name + record.n, points);
    }
  }
  return series;
}

/** Goes on to a time in as many calls as it takes. */
export function goneTo(
  from: DemoState,
  toMs: number,
  cadenceMs: number,
): { readonly state: DemoState; readonly packs: DemoPack[] } {
  const packs: DemoPack[] = [];
  let state = from;
  for (;;) {
    const next = stepDemo(state, { toMs, cadenceMs });
    if (next.state.tMs === state.tMs) return { state, packs };
    packs.push(...next.packs);
    state = next.state;
  }
}

export type Demo = {
  readonly seed: number;
  readonly anchorMs: number;
  readonly utcOffsetMs: number;
  readonly backRecordMs?: number;
};

/** A whole back record, with local midnight of its last day. */
export function backRecord(demo: Demo) {
  const { state, packs } = goneTo(startDemo(demo), demo.anchorMs, BACK_CADENCE_MS);
  const series = resolved(packs);
  const lastMidnightMs = state.frame.lastDay * DAY_MS - demo.utcOffsetMs;
  const points = (name: string): readonly Point[] => {
    const found = series.get(name);
    if (found === undefined) throw new Error(`no such probe: ${name}`);
    return found;
  };
  /** points of a day so many days before the last, between two local hours */
  const between = (name: string, daysBefore: number, hours: readonly [number, number]): readonly Point[] => {
    const midnightMs = lastMidnightMs - daysBefore * DAY_MS;
    const [fromMs, toMs] = [midnightMs + hours[0] * HOUR_MS, midnightMs + hours[1] * HOUR_MS];
    return points(name).filter((point) => point.tMs >= fromMs && point.tMs < toMs);
  };
  return { state, packs, series, points, between, lastMidnightMs };
}

export const values = (points: readonly Point[]): number[] => points.map((point) => point.value);
export const highest = (points: readonly Point[]): number => Math.max(...values(points));
export const lowest = (points: readonly Point[]): number => Math.min(...values(points));
export const mean = (points: readonly Point[]): number =>
  values(points).reduce((sum, value) => sum + value, 0) / points.length;
