import { airVpdKpa } from '../../../../../shared/climate/humidity.ts';
import type { Targets } from '../../../../../shared/model/targets.ts';
import { TARGET_SHEET_FILE } from '../house.ts';
import type { Happening } from './played.ts';
import type { ProbeName } from './story.ts';

/**
 * The climate of a story as far as it had happened, made again from what was sent: what was used of each probe, and the
 * bands that held. Written from the contract and the design of harm, apart from the product; days are those of UTC.
 */
export const MAX_GAP_MS = 15 * 60_000;
const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;

export type Used = { readonly tMs: number; readonly value: number };

export type Climate = {
  /** readings that are measurements, as corrected, of probes that still belong to the place */
  readonly readings: ReadonlyMap<ProbeName, readonly Used[]>;
  readonly momentAt: (tMs: number) => Moment;
};

/** What holds at a time: the bands, and how far they have moved to those of day, 0…1. */
export type Moment = { readonly targets: Targets; readonly night: boolean; readonly share: number };

/** The climate as it was known after so much of a story. */
export function climateOf(log: readonly Happening[]): Climate {
  const readings = new Map<ProbeName, Used[]>();
  const offsets = new Map<ProbeName, number>();
  const gone = new Set<ProbeName>();
  const history: { fromMs: number; targets: Targets }[] = [{ fromMs: 0, targets: TARGET_SHEET_FILE.targets }];
  for (const one of log) {
    if (one.kind === 'targets') history.push(one);
    if (one.kind === 'correct') offsets.set(one.probe, one.offset);
    if (one.kind === 'archive') gone.add(one.probe);
    if (one.kind !== 'pack') continue;
    for (const [name, raw] of one.values) {
      const value = usedOf(name, raw, offsets.get(name) ?? 0);
      const list = readings.get(name) ?? [];
      if (value !== null) list.push({ tMs: one.tMs, value });
      readings.set(name, list);
    }
  }
  for (const name of gone) readings.delete(name);
  return {
    readings,
    momentAt: (tMs) => momentIn(history.findLast(({ fromMs }) => fromMs <= tMs)?.targets, tMs),
  };
}

/** 85 °C after power-up is no measurement; others are corrected, and stay within what can be. */
export function usedOf(name: ProbeName, raw: number, offset: number): number | null {
  if (name.includes('temperature') && raw === 85) return null;
  const value = raw + offset;
  if (name.startsWith('air/humidity')) return Math.min(105, Math.max(0, value));
  return name === 'light/ppfd' ? Math.max(0, value) : value;
}

function momentIn(targets: Targets | undefined, tMs: number): Moment {
  if (!targets) throw new Error('no targets hold');
  const minutes = (text: string) => Number(text.slice(0, 2)) * 60 + Number(text.slice(3));
  const [day, night] = [minutes(targets.dayStart), minutes(targets.nightStart)];
  const now = (tMs % DAY_MS) / 60_000;
  const isNight = now < day || now >= night;
  const since = isNight ? (now - night + 1_440) % 1_440 : now - day;
  const ramp = targets.rampMin ?? 0;
  const moved = ramp === 0 ? 1 : Math.min(1, since / ramp);
  return { targets, night: isNight, share: isNight ? 1 - moved : moved };
}

/** The low, or the high, end of a band as it stands at a moment, °C. */
export function bandC(
  { targets, share }: Moment,
  position: 'air' | 'rootZone',
  end: 'lowC' | 'highC',
): number {
  const { day, night } = targets[position];
  return night[end] + (day[end] - night[end]) * share;
}

/** A straight piece of a course. */
export type Piece = {
  readonly fromMs: number;
  readonly toMs: number;
  readonly from: number;
  readonly to: number;
};

/** The value of a position over the stretches in which one of its probes is covered: the mean of those that are. */
export function courseOf(climate: Climate, position: string): Piece[] {
  return piecesOf(recordsAt(climate, position));
}

/** Vapour pressure deficit of the air, kPa: computed where either is read while the other is covered. */
export function vpdCourse(climate: Climate): Piece[] {
  const times = timesOf(recordsAt(climate, 'air/'));
  const [air, humidity] = ['air/temperature', 'air/humidity'].map((of) =>
    piecesOf(recordsAt(climate, of), times),
  ) as [Piece[], Piece[]];
  const damp = new Map(humidity.map((piece) => [piece.fromMs, piece]));
  return air.flatMap(({ fromMs, toMs, from, to }) => {
    const at = damp.get(fromMs);
    const ends = at ? [vpdOf(from, at.from), vpdOf(to, at.to)] : [];
    const [first, last] = ends;
    return typeof first === 'number' && typeof last === 'number'
      ? [{ fromMs, toMs, from: first, to: last }]
      : [];
  });
}

export function vpdOf(airTemperatureC: number, relativeHumidityPct: number): number | null {
  return airVpdKpa({ airTemperatureC, relativeHumidityPct: Math.min(100, Math.max(0, relativeHumidityPct)) });
}

function recordsAt(climate: Climate, position: string): (readonly Used[])[] {
  return [...climate.readings].filter(([name]) => name.startsWith(position)).map(([, used]) => used);
}

function timesOf(records: readonly (readonly Used[])[]): number[] {
  return [...new Set(records.flatMap((record) => record.map(({ tMs }) => tMs)))].sort((a, b) => a - b);
}

/** Cut at each time at which something was read. */
function piecesOf(records: readonly (readonly Used[])[], times = timesOf(records)): Piece[] {
  const next = records.map(() => 0);
  return times.flatMap((toMs, i) => {
    const fromMs = times[i - 1];
    if (fromMs === undefined) return [];
    const ends = records.flatMap((record, which) => {
      let at = next[which] as number;
      while ((record[at]?.tMs ?? Number.POSITIVE_INFINITY) < toMs) at++;
      next[which] = at;
      return endsOf([record[at - 1], record[at]], { fromMs, toMs }) ?? [];
    });
    if (ends.length === 0) return [];
    const mean = (pick: (one: { from: number; to: number }) => number) =>
      ends.reduce((sum, one) => sum + pick(one), 0) / ends.length;
    return [{ fromMs, toMs, from: mean(({ from }) => from), to: mean(({ to }) => to) }];
  });
}

/** What one probe comes to over a stretch without a reading of its own inside; null where it is not covered. */
function endsOf(
  [a, b]: readonly [Used | undefined, Used | undefined],
  { fromMs, toMs }: { readonly fromMs: number; readonly toMs: number },
) {
  if (!a || !b || a.tMs > fromMs || b.tMs - a.tMs > MAX_GAP_MS) return null;
  const at = (tMs: number) => a.value + ((b.value - a.value) * (tMs - a.tMs)) / (b.tMs - a.tMs);
  return { from: at(fromMs), to: at(toMs) };
}
