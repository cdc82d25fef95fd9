import type { Cause } from '../../../server/domain/causes/hypotheses.ts';
import type { Scene } from '../../../server/domain/causes/signals.ts';
import { saturationPressureOverWaterKpa } from '../../../shared/climate/saturation.ts';
import { type ProbeRecord, probeRecord } from '../../../shared/exposure/series.ts';
import { seededNumbers } from '../../support/seeded.ts';

/** A scene whose cause is known, as it was made so; null: nothing of the list. */
export type Labelled = { readonly cause: Cause | null; readonly scene: Scene };

const MIN_MS = 60_000;
const START_MS = Date.UTC(2026, 4, 1);
/** Minutes before the event, and the longest after it until the limit is crossed. */
const BEFORE_MIN = 150;
const MOST_MIN = 480;
const JUDGED_AFTER_MIN = 10;

type Body = { air: number; root: number; vapour: number; matOn: boolean };
/** What is done to the place, minute by minute, from the event on. */
type Drive = {
  outside: number;
  light: number;
  heatK: number;
  vented: boolean;
  mat: 'thermostat' | 'off' | 'on';
  mist: 'timer' | 'never' | 'always' | 'dry';
  waterK: number;
  sensorSunK: number;
  probeOut: boolean;
  wet: boolean;
  silent: boolean;
};
type Place = {
  covered: boolean;
  outside: number;
  warmK: number;
  tauAir: number;
  tauRoot: number;
  setpoint: number;
  everyMin: number;
  light: number;
  ceiling: number;
  foot: number;
  matKMin: number;
};
type Row = {
  tMs: number;
  air: number;
  root: number;
  humidity: number;
  light: number;
  outside: number;
  open: boolean;
  silent: boolean;
};

/** A scene of a cause: a place of its own, cheap sensors, and the event, judged 10 min after its limit was crossed. */
export function sceneOf(cause: Cause, seed: number): Labelled {
  const next = seededNumbers(seed * 7919 + cause.length * 104_729 + (cause.codePointAt(0) ?? 0));
  const between = (low: number, high: number) => low + (high - low) * next();
  for (let tries = 0; tries < 40; tries++) {
    const place = placeFor(cause, between);
    const rows = play(place, cause, between);
    if (rows) return { cause, scene: readBy(rows, place, between) };
  }
  throw new Error(`no scene of ${cause} with seed ${seed} crosses its limit`);
}

type Between = (low: number, high: number) => number;

const MISTED: readonly Cause[] = ['mist-stopped', 'water-off', 'mist-stuck', 'cold-mist-water'];
const LIT: readonly Cause[] = ['mist-stopped', 'water-off', 'sun-on-sensor', 'wet-probe'];

function placeFor(cause: Cause, between: Between): Place {
  const covered =
    cause === 'vent-open' || cause === 'sun-on-cover' || (!MISTED.includes(cause) && between(0, 1) < 0.6);
  const outside = cause === 'heater-out' || cause === 'power-cut' ? between(-4, 6) : between(12, 19);
  const air =
    cause === 'sun-on-cover' || cause === 'sun-on-sensor' || cause === 'hot-room'
      ? between(21, 24)
      : between(16.5, 20);
  return {
    covered,
    outside: cause === 'hot-room' ? air - between(0.3, 1.5) : outside,
    warmK: cause === 'hot-room' ? between(0.3, 1.5) : air - outside,
    tauAir: between(20, 45),
    tauRoot: between(90, 220),
    setpoint: between(21.6, 24),
    everyMin: MISTED.includes(cause) ? Math.round(between(5, 11)) : 0,
    light: LIT.includes(cause)
      ? between(150, 400)
      : cause === 'sun-on-cover'
        ? between(10, 60)
        : between(0, 15),
    ceiling: 26.7,
    foot: 21.1,
    // a mat that the cold water can outdo is a weak one
    matKMin: cause === 'cold-mist-water' ? between(0.035, 0.05) : between(0.1, 0.16),
  };
}

const quiet = (place: Place): Drive => ({
  outside: place.outside,
  light: place.light,
  heatK: place.warmK,
  vented: false,
  mat: 'thermostat',
  mist: place.everyMin > 0 ? 'timer' : 'never',
  waterK: 0,
  sensorSunK: 0,
  probeOut: false,
  wet: false,
  silent: false,
});

/** The event of a cause, so many minutes after it began. */
function eventOf(cause: Cause, place: Place, between: Between): (min: number) => Partial<Drive> {
  const [fast, far] = [between(4, 20), between(0, 1)];
  switch (cause) {
    case 'sun-on-cover':
      return (min) => ({
        light: place.light + Math.min(1, min / fast) * (250 + 350 * far),
        heatK: place.warmK + Math.min(1, min / fast) * (9 + 8 * far),
      });
    case 'sun-on-sensor':
      return () => ({ sensorSunK: 4.5 + 4 * far });
    case 'hot-room':
      return (min) => ({ outside: place.outside + Math.min(9, min * (0.05 + 0.06 * far)) });
    case 'vent-open':
      return () => ({ vented: true });
    case 'mat-off':
      return () => ({ mat: 'off' });
    case 'mat-runaway':
      return () => ({ mat: 'on' });
    case 'probe-out':
      return () => ({ probeOut: true });
    case 'mist-stopped':
      return () => ({ mist: 'never' });
    case 'water-off':
      return () => ({ mist: 'dry' });
    case 'mist-stuck':
      return () => ({ mist: 'always' });
    case 'cold-mist-water':
      return () => ({ waterK: 0.35 + 0.35 * far });
    case 'heater-out':
      return () => ({ heatK: 0 });
    case 'power-cut': {
      const darkMin = 30 + 90 * far;
      return (min) => ({ heatK: min < darkMin ? 0 : place.warmK, mat: 'off', silent: min < darkMin });
    }
    case 'wet-probe':
      return (min) => ({ wet: true, heatK: place.warmK + Math.min(5, min * 0.12) });
  }
}

/** Whether a place is beyond the limit that the cause brings it to, so many minutes after the event. */
function isBeyond(cause: Cause, row: Row, place: Place, min: number): boolean {
  switch (cause) {
    case 'sun-on-cover':
    case 'sun-on-sensor':
    case 'hot-room':
      return row.air > place.ceiling;
    case 'mat-runaway':
      return row.root > 27.5;
    case 'mat-off':
    case 'probe-out':
    case 'cold-mist-water':
      return row.root < place.foot - 0.3;
    case 'heater-out':
    case 'power-cut':
      return !row.silent && row.air < 14.5;
    case 'vent-open':
      return row.humidity < 72 && min > 3;
    case 'mist-stopped':
    case 'water-off':
      return row.humidity < 72 && min > 25;
    case 'mist-stuck':
      return min > 15 && row.humidity > 95;
    case 'wet-probe':
      return min > 25;
  }
}

/** The place minute by minute; null where its limit is never crossed. */
function play(place: Place, cause: Cause, between: Between): Row[] | null {
  const event = eventOf(cause, place, between);
  const phase = Math.floor(between(0, 10));
  const clouds = between(0, 0.3);
  let body: Body = {
    air: place.outside + place.warmK,
    root: place.setpoint,
    vapour: saturationPressureOverWaterKpa(place.outside + place.warmK) * 0.85,
    matOn: false,
  };
  const rows: Row[] = [];
  let judgedAt = Number.POSITIVE_INFINITY;
  for (let min = -BEFORE_MIN; min < MOST_MIN; min++) {
    const drive = { ...quiet(place), ...(min >= 0 ? event(min) : {}) };
    const isPulse =
      drive.mist === 'always' ||
      (place.everyMin > 0 && drive.mist !== 'never' && (min + phase) % place.everyMin === 0);
    drive.light *= 1 + clouds * Math.sin(min / 7) * (min % 3 === 0 ? 1 : 0.6);
    body = stepped(body, drive, { place, isWet: isPulse && drive.mist !== 'dry', gust: between(-1, 1) });
    const row = rowOf(body, drive, { min, isPulse, shake: between(-1, 1) });
    rows.push(row);
    if (min >= 0 && judgedAt === Number.POSITIVE_INFINITY && isBeyond(cause, row, place, min))
      judgedAt = min + JUDGED_AFTER_MIN;
    if (min >= judgedAt) return rows;
  }
  return null;
}

type Step = { place: Place; isWet: boolean; gust: number };

function stepped(body: Body, drive: Drive, { place, isWet, gust }: Step): Body {
  const tau = drive.vented ? 9 : place.tauAir;
  const warm = drive.outside + drive.heatK * (drive.vented ? 0.4 : 1);
  const air = body.air + (warm - body.air) / tau + 0.03 * gust - (isWet ? 0.15 : 0);
  const matOn =
    drive.mat === 'on' ||
    (drive.mat === 'thermostat' &&
      (body.matOn ? body.root < place.setpoint + 0.2 : body.root < place.setpoint - 0.2));
  const root =
    body.root +
    (air - body.root) / place.tauRoot +
    (matOn ? place.matKMin : 0) -
    (isWet ? drive.waterK : 0) +
    0.004 * gust;
  const saturation = saturationPressureOverWaterKpa(air);
  const dry = saturationPressureOverWaterKpa(drive.outside) * 0.5;
  const source = isWet ? 0.1 * (saturation - body.vapour) : 0;
  const wetness = place.covered ? 0.03 : place.everyMin > 0 ? 0.004 : 0.02;
  const exchange = drive.vented ? 0.12 : place.covered ? 0.004 : 0.009;
  const vapour = body.vapour + wetness * (saturation - body.vapour) + source + exchange * (dry - body.vapour);
  return { air, root, vapour: Math.min(vapour, saturation), matOn };
}

function rowOf(body: Body, drive: Drive, at: { min: number; isPulse: boolean; shake: number }): Row {
  const sunK = drive.sensorSunK * (1 + 0.15 * at.shake);
  const air = body.air + sunK;
  const humidity = drive.wet ? 99.9 : (100 * body.vapour) / saturationPressureOverWaterKpa(air);
  return {
    tMs: START_MS + (at.min + BEFORE_MIN) * MIN_MS,
    air,
    root: drive.probeOut ? body.air + 0.3 * at.shake : body.root,
    humidity: Math.min(100, humidity),
    light: drive.light,
    outside: drive.outside,
    open: at.isPulse,
    silent: drive.silent,
  };
}

/** What cheap sensors make of it: noise, steps, an offset each, a reading in thirty lost. */
function readBy(rows: readonly Row[], place: Place, between: Between): Scene {
  const offset = { air: between(-0.4, 0.4), humidity: between(-2.5, 2.5), root: between(-0.4, 0.4) };
  const noise = (scale: number) => scale * (between(-1, 1) + between(-1, 1) + between(-1, 1));
  const record = (pick: (row: Row) => number): ProbeRecord => {
    const kept = rows.filter(({ silent }) => !silent && between(0, 1) > 1 / 30);
    return probeRecord({ timesMs: kept.map(({ tMs }) => tMs), values: kept.map(pick) });
  };
  const stepsOf = (value: number, step: number) => Math.round(value / step) * step;
  const last = rows.at(-1)?.tMs ?? START_MS;
  const valve = rows.flatMap(({ tMs, open }, n): [number, number][] => {
    const before = rows[n - 1]?.open ?? false;
    if (open && !before) return [[tMs, 1]];
    // a pulse is 8 s long
    return !open && before ? [[tMs - MIN_MS + 8_000, 0]] : [];
  });
  return {
    atMs: last,
    air: record(({ air }) => stepsOf(air + offset.air + noise(0.06), 0.1)),
    root: record(({ root }) => stepsOf(root + offset.root + noise(0.03), 0.0625)),
    humidity: record(({ humidity }) =>
      Math.min(100, stepsOf(Math.min(100, humidity + offset.humidity + noise(0.35)), 0.1)),
    ),
    light: record(({ light }) => Math.max(0, light * (1 + noise(0.02)) + noise(0.5))),
    outside: record(({ outside }) => stepsOf(outside + noise(0.06), 0.1)),
    valve:
      place.everyMin > 0
        ? probeRecord({ timesMs: valve.map(([tMs]) => tMs), values: valve.map(([, value]) => value) })
        : null,
    covered: place.covered,
  };
}
