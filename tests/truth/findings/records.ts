import { gaussian } from '../../../server/domain/demo/random.ts';
import type { CheckedProbe, CheckScope } from '../../../server/domain/probes/check-scope.ts';
import { LX_PER_UMOL } from '../../../shared/climate/light.ts';
import { probeRecord } from '../../../shared/exposure/series.ts';
import type { ProbeQuantityName } from '../../../shared/quantities.ts';
import { readOpenData } from '../../support/openData.ts';
import { backRecord, DAY_MS, type Point } from '../../unit/server/domain/demo/record.ts';

/** Readings of one probe before they are looked at. */
export type Track = {
  readonly quantity: ProbeQuantityName;
  readonly name: string;
  readonly points: readonly Point[];
};
/** One place's sound record, or one that a fault was put into. */
export type Scene = {
  readonly name: string;
  readonly kind: CheckScope['kind'];
  readonly fromMs: number;
  readonly toMs: number;
  readonly tracks: readonly Track[];
};

export const SEEDS = [3, 7, 19] as const;
const ANCHOR_MS = Date.UTC(2026, 4, 15, 12);
/** Days of the simulated record; its last night has the mat fail, two days before the dome stands in the sun. */
const DAYS = 9;

/**
 * Scenes in which nothing is wrong with a probe, though much with the climate: nine simulated days of a mist bench
 * (pulses, a device that stops reporting, a mat that fails) and of a bottle dome (vents, sun on the dome), and three
 * recorded days of a room. Each air has a second probe with chip noise of its own, a little off.
 */
export function cleanScenes(): Scene[] {
  const all = [...SEEDS.flatMap(simulated), room()];
  const [bench, dome] = all;
  if (!bench || !dome) throw new Error('nothing was simulated');
  return [...all, seldom(coarse(bench)), coarse(dome), seldom(dome), coarse(room())];
}

/** The same by chips that count in half kelvins and whole per cents. */
function coarse(scene: Scene): Scene {
  const steps: Readonly<Partial<Record<ProbeQuantityName, number>>> = {
    'root/temperature': 0.5,
    'air/temperature': 0.5,
    'air/humidity': 1,
  };
  const tracks = scene.tracks.map((track): Track => {
    const step = steps[track.quantity];
    if (step === undefined) return track;
    return {
      ...track,
      points: track.points.map(({ tMs, value }) => ({ tMs, value: Math.round(value / step) * step })),
    };
  });
  return { ...scene, name: `coarse chips: ${scene.name}`, tracks };
}

/** The same read every ten minutes, but for a valve, which reports each edge. */
function seldom(scene: Scene): Scene {
  const tracks = scene.tracks.map((track): Track => {
    if (track.quantity === 'mist/valve') return track;
    return { ...track, points: track.points.filter((_, index) => index % 10 === 0) };
  });
  return { ...scene, name: `every 10 min: ${scene.name}`, tracks };
}

function simulated(seed: number): Scene[] {
  const { points, lastMidnightMs } = backRecord({
    seed,
    anchorMs: ANCHOR_MS,
    utcOffsetMs: 7_200_000,
    backRecordMs: DAYS * DAY_MS,
  });
  const toMs = lastMidnightMs + 12 * 3_600_000;
  const span = { fromMs: ANCHOR_MS - DAYS * DAY_MS, toMs };
  const of = (device: string, names: readonly ProbeQuantityName[]): Track[] =>
    names.map((quantity) => ({ quantity, name: quantity, points: points(`${device}/${quantity}`) }));
  const bench = of('demo-mist-bench', [
    'mist/valve',
    'root/temperature',
    'air/temperature',
    'air/humidity',
    'light/ppfd',
  ]);
  const end: Track = {
    quantity: 'root/temperature',
    name: 'root/temperature/2',
    points: points('demo-mist-bench/root/temperature/2'),
  };
  const dome = of('demo-bottle-dome', [
    'root/temperature',
    'air/temperature',
    'air/humidity',
    'light/illuminance',
  ]);
  return [
    { name: `mist bench, seed ${seed}`, kind: 'bench', ...span, tracks: withTwins([...bench, end], seed) },
    { name: `bottle dome, seed ${seed}`, kind: 'dome', ...span, tracks: withTwins(dome, seed + 100) },
  ];
}

/** The open record of a room: a real chip's air, humidity and light, and a twin of the first two. */
function room(): Scene {
  const rows = readOpenData();
  const track = (quantity: ProbeQuantityName, value: (row: (typeof rows)[number]) => number): Track => ({
    quantity,
    name: quantity,
    points: rows.map((row) => ({ tMs: row.atMs, value: value(row) })),
  });
  const tracks = [
    track('air/temperature', (row) => row.airTemperatureC),
    track('air/humidity', (row) => row.relativeHumidityPct),
    track('light/illuminance', (row) => row.illuminanceLx),
  ];
  const [first, last] = [rows[0], rows.at(-1)];
  if (!first || !last) throw new Error('the open record is empty');
  return {
    name: 'room, open data',
    kind: 'unstated',
    fromMs: first.atMs,
    toMs: last.atMs + 1,
    tracks: withTwins(tracks, 5),
  };
}

/** A second probe beside each air probe: noise of its own, and off by what makers allow. */
function withTwins(tracks: readonly Track[], seed: number): Track[] {
  const chips: Readonly<Partial<Record<ProbeQuantityName, { off: number; noise: number; step: number }>>> = {
    'air/temperature': { off: 0.3, noise: 0.03, step: 0.01 },
    'air/humidity': { off: -2, noise: 0.15, step: 0.01 },
  };
  const twins = tracks.flatMap(({ quantity, points }, stream): Track[] => {
    const chip = chips[quantity];
    if (!chip) return [];
    const noisy = points.map(({ tMs, value }, index) => {
      const read = value + chip.off + chip.noise * gaussian({ seed, stream, index });
      const high = quantity === 'air/humidity' ? 100 : 125;
      return { tMs, value: Math.min(high, Number((Math.round(read / chip.step) * chip.step).toFixed(2))) };
    });
    return [{ quantity, name: `${quantity}/2`, points: noisy }];
  });
  return [...tracks, ...twins];
}

/** A scene as the daemon looks at it, over a window. */
export function scopeOf(scene: Scene, window = { fromMs: scene.fromMs, toMs: scene.toMs }): CheckScope {
  const probes = scene.tracks.map(({ name, quantity, points }, index): CheckedProbe => {
    const within = points.filter(({ tMs }) => tMs >= window.fromMs && tMs < window.toMs);
    const record = probeRecord({
      timesMs: within.map(({ tMs }) => tMs),
      values: within.map(({ value }) => value),
    });
    return { probeId: index + 1, probe: `node/${name}`, quantity, record };
  });
  return { ...window, kind: scene.kind, maxGapMs: 15 * 60_000, lxPerUmol: LX_PER_UMOL.daylight, probes };
}

/** Windows of three days, as the hourly look has them, that together cover a scene. */
export function windowsOf({ fromMs, toMs }: Scene): { fromMs: number; toMs: number }[] {
  const windows = [];
  for (let endMs = toMs; endMs > fromMs; endMs -= 3 * DAY_MS)
    windows.push({ fromMs: Math.max(fromMs, endMs - 3 * DAY_MS), toMs: endMs });
  return windows;
}
