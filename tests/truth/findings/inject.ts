import { uniform } from '../../../server/domain/demo/random.ts';
import type { FindingKind } from '../../../shared/model/probes/finding.ts';
import { DAY_MS, HOUR_MS, type Point } from '../../unit/server/domain/demo/record.ts';
import type { Scene, Track } from './records.ts';

/** A scene with one known fault in it. */
export type Faulty = {
  readonly scene: Scene;
  readonly finding: FindingKind;
  /** the probes any of which may be named */
  readonly probes: readonly string[];
  readonly fromMs: number;
  readonly toMs: number;
};

/** Draws of one injection, 0…1, each by its own name. */
type Drawn = (index: number) => number;
type Change = (point: Point, index: number) => Point;
type Fault = {
  readonly finding: FindingKind;
  readonly quantities: readonly string[];
  /** how long it lasts, h, from the first to the second */
  readonly hours: readonly [number, number];
  readonly change: (at: {
    readonly fromMs: number;
    readonly toMs: number;
    readonly drawn: Drawn;
    readonly scene: Scene;
    readonly first: number;
  }) => Change;
};

const TEMPERATURES = ['root/temperature', 'air/temperature'];
const between = (share: number, [low, high]: readonly [number, number]) => low + share * (high - low);
const sign = (share: number) => (share < 0.5 ? -1 : 1);
const hundredths = (value: number) => Number(value.toFixed(2));

/** Faults of chips, wires and placing, each as strong as its drawn numbers make it. */
export const FAULTS: readonly Fault[] = [
  {
    finding: 'power-up',
    quantities: TEMPERATURES,
    hours: [0.02, 0.1],
    change: () => (point) => ({ ...point, value: 85 }),
  },
  {
    finding: 'disconnected',
    quantities: TEMPERATURES,
    hours: [0.02, 6],
    change: () => (point) => ({ ...point, value: -127 }),
  },
  {
    finding: 'beyond-range',
    quantities: TEMPERATURES,
    hours: [0.02, 2],
    change: ({ drawn }) => {
      const value = drawn(9) < 0.5 ? between(drawn(8), [-149, -56]) : between(drawn(8), [125.5, 149]);
      return (point) => ({ ...point, value: hundredths(value) });
    },
  },
  {
    finding: 'jump',
    quantities: [...TEMPERATURES, 'air/humidity'],
    hours: [0, 0],
    change: ({ drawn, scene, first }) => {
      const humid = scene.tracks[first]?.quantity === 'air/humidity';
      const step = -sign(drawn(9)) * between(drawn(8), humid ? [18, 40] : [3.5, 15]);
      // away from the top, where a chip cuts it off
      return (point) => ({ ...point, value: hundredths(point.value + (humid ? -Math.abs(step) : step)) });
    },
  },
  {
    finding: 'flat',
    quantities: [...TEMPERATURES, 'air/humidity'],
    hours: [12.5, 30],
    change: () => {
      let held: number | null = null;
      return (point) => {
        held ??= point.value;
        return { ...point, value: held };
      };
    },
  },
  {
    finding: 'humidity-stuck',
    quantities: ['air/humidity'],
    hours: [6.5, 24],
    change: ({ drawn }) => {
      const top = drawn(8) < 0.5 ? 99.9 : 100;
      return (point, index) => ({ ...point, value: hundredths(top - 0.2 * drawn(100 + (index % 1000))) });
    },
  },
  {
    finding: 'humidity-zero',
    quantities: ['air/humidity'],
    hours: [0.3, 5],
    change: () => (point) => ({ ...point, value: 0 }),
  },
  {
    finding: 'sun-on-sensor',
    quantities: ['air/temperature'],
    hours: [24, 24],
    change: ({ scene, drawn }) => {
      const liftK = between(drawn(8), [2.5, 4.5]);
      const light = scene.tracks.find(({ quantity }) => quantity.startsWith('light/'));
      const bright = light?.quantity === 'light/ppfd' ? 150 : 150 * 54;
      const lit = new Map(light?.points.map(({ tMs, value }) => [tMs, value]));
      let warmK = 0;
      return (point) => {
        // a cheap case warms within minutes
        const aimK = (lit.get(point.tMs) ?? 0) >= bright ? liftK : 0;
        warmK += 0.3 * (aimK - warmK);
        return { ...point, value: hundredths(point.value + warmK) };
      };
    },
  },
  {
    finding: 'disagreement',
    quantities: [...TEMPERATURES, 'air/humidity'],
    hours: [8, 30],
    change: ({ drawn, scene, first }) => {
      const humid = scene.tracks[first]?.quantity === 'air/humidity';
      const off = humid ? -between(drawn(8), [20, 35]) : sign(drawn(9)) * between(drawn(8), [5, 9]);
      return (point) => ({ ...point, value: hundredths(point.value + off) });
    },
  },
];

/** Every fault that fits a scene, `times` each, at drawn times in drawn probes. */
export function injected(scene: Scene, times: number): Faulty[] {
  return FAULTS.flatMap((fault, kind) =>
    Array.from({ length: times }, (_, time) => injectedOnce(scene, fault, 1000 * kind + time)),
  ).filter((faulty) => faulty !== null);
}

function injectedOnce(scene: Scene, fault: Fault, stream: number): Faulty | null {
  const drawn: Drawn = (index) => uniform({ seed: seedOf(scene), stream, index });
  const fitting = scene.tracks.flatMap(({ quantity }, i) => (fault.quantities.includes(quantity) ? [i] : []));
  const first = fitting[Math.floor(drawn(1) * fitting.length)];
  const track = first === undefined ? undefined : scene.tracks[first];
  if (!track || first === undefined) return null;
  const lonely = scene.tracks.filter(({ quantity }) => quantity === track.quantity).length < 2;
  if (fault.finding === 'disagreement' && lonely) return null;
  if (fault.finding === 'sun-on-sensor' && !hasSun(scene)) return null;
  // under a cover air at its top is as it should be, and a chip that sticks there cannot be told from it
  if (fault.finding === 'humidity-stuck' && scene.kind === 'dome') return null;
  const lengthMs = between(drawn(2), fault.hours) * HOUR_MS;
  const roomMs = scene.toMs - scene.fromMs - lengthMs - 4 * HOUR_MS;
  const startMs = scene.fromMs + 2 * HOUR_MS + drawn(3) * roomMs;
  const within = track.points.filter(({ tMs }) => tMs >= startMs && tMs < startMs + lengthMs);
  const [from, to] = [within[0] ?? track.points.find(({ tMs }) => tMs >= startMs), within.at(-1)];
  if (!from) return null;
  const span = { fromMs: from.tMs, toMs: (to ?? from).tMs };
  const change = fault.change({ ...span, drawn, scene, first });
  const points = track.points.map((point, index) =>
    point.tMs >= span.fromMs && point.tMs <= span.toMs ? change(point, index) : point,
  );
  const tracks = scene.tracks.map((one, i): Track => (i === first ? { ...one, points } : one));
  return { scene: { ...scene, tracks }, finding: fault.finding, probes: [`node/${track.name}`], ...span };
}

/** Another draw for every scene. */
function seedOf({ name }: Scene): number {
  return [...name].reduce((seed, letter) => (31 * seed + letter.charCodeAt(0)) % 1_000_003, 11);
}

function hasSun({ tracks }: Scene): boolean {
  const light = tracks.find(({ quantity }) => quantity.startsWith('light/'));
  const bright = light?.quantity === 'light/ppfd' ? 150 : 150 * 54;
  return (light?.points.filter(({ value }) => value >= bright).length ?? 0) >= 60;
}

/** Root and air probe of a scene mistaken for each other from a day on. */
export function swappedAt(scene: Scene, day: number): Faulty | null {
  const at = (quantity: string) => scene.tracks.findIndex((track) => track.quantity === quantity);
  const [root, air] = [at('root/temperature'), at('air/temperature')];
  const [below, above] = [scene.tracks[root], scene.tracks[air]];
  if (!below || !above) return null;
  const fromMs = scene.fromMs + day * DAY_MS;
  const mixed = (own: Track, other: Track): Track => ({
    ...own,
    points: [
      ...own.points.filter(({ tMs }) => tMs < fromMs),
      ...other.points.filter(({ tMs }) => tMs >= fromMs),
    ],
  });
  const tracks = scene.tracks.map((track, i) => {
    if (i === root) return mixed(below, above);
    return i === air ? mixed(above, below) : track;
  });
  const probes = [`node/${below.name}`, `node/${above.name}`];
  return { scene: { ...scene, tracks }, finding: 'swapped', probes, fromMs, toMs: fromMs + 2 * DAY_MS };
}

/** The humidity probe of a misted scene wet from the last pulse of a day until the first of the next. */
export function wetAt(scene: Scene, day: number): Faulty | null {
  const valve = scene.tracks.find(({ quantity }) => quantity === 'mist/valve');
  const first = scene.tracks.findIndex(({ quantity }) => quantity === 'air/humidity');
  const track = scene.tracks[first];
  if (!valve || !track) return null;
  const opens = valve.points.filter(({ value }) => value > 0).map(({ tMs }) => tMs);
  const nights = opens.flatMap((tMs, i) => ((opens[i + 1] ?? tMs) - tMs > 4 * HOUR_MS ? [i] : []));
  const night = nights[day];
  if (night === undefined) return null;
  const [fromMs, toMs] = [opens[night] as number, opens[night + 1] as number];
  const points = track.points.map((point) =>
    point.tMs > fromMs && point.tMs < toMs ? { ...point, value: 99.9 } : point,
  );
  const tracks = scene.tracks.map((one, i): Track => (i === first ? { ...one, points } : one));
  return { scene: { ...scene, tracks }, finding: 'wet-sensor', probes: [`node/${track.name}`], fromMs, toMs };
}
