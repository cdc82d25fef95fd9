import psychrolib from 'psychrolib';
import { expect } from 'vitest';
import { z } from 'zod';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import type { Daemon } from '../support/daemon.ts';
import { type Dense, denseExposure, type Limits, type Track } from '../support/denseIntegration.ts';
import type { Publisher } from '../support/mqttPublisher.ts';
import { type OpenDataRow, readOpenData } from '../support/openData.ts';
import { seededNumbers } from '../support/seeded.ts';

psychrolib.SetUnitSystem(psychrolib.SI);

/** Times of the record carry no zone; they are read as UTC, and days are counted in UTC. */
export const settings = { STRIKEWELL_TIME_ZONE: 'UTC' };
export const rows = readOpenData();
export const DEVICE = 'office';
/** A second room that sends less: the same record without an hour and a half, and without a quarter of an hour. */
export const DEVICE_WITH_GAPS = 'office-with-gaps';
export const rowsWithGaps = rows.filter(
  ({ row }) => !(row > 700 && row <= 790) && !(row > 2000 && row < 2015),
);

/** No limit is a value the record holds, so none is met over a stretch of time. */
export const SHEETS = [
  {
    from: '2015-02-01T00:00:00Z',
    dayStart: '06:00',
    nightStart: '20:00',
    day: { low: 21.113, high: 22.357 },
    night: { low: 20.017, high: 20.613 },
    ceiling: 22.511,
    vpd: { low: 1.8913, high: 2.0061 },
  },
  {
    from: '2015-02-06T09:30:00Z',
    dayStart: '05:30',
    nightStart: '19:45',
    day: { low: 20.487, high: 21.777 },
    night: { low: 19.837, high: 20.217 },
    ceiling: 22.013,
    vpd: { low: 1.9313, high: 1.9877 },
  },
] as const;

export const WINDOWS = {
  'the whole record and an hour on either side': ['2015-02-04T16:51:00Z', '2015-02-07T18:51:00Z'],
  'cuts at odd milliseconds': ['2015-02-05T03:17:23.456Z', '2015-02-06T21:59:01.789Z'],
  'one day': ['2015-02-06T00:00:00Z', '2015-02-07T00:00:00Z'],
  '10 s between two readings': ['2015-02-05T12:00:05.25Z', '2015-02-05T12:00:15.25Z'],
  'an hour before the record': ['2015-02-04T16:00:00Z', '2015-02-04T17:00:00Z'],
} as const;

type Band = Readonly<Record<'coveredHours' | 'hoursBelow' | 'hoursWithin' | 'hoursAbove', number>>;
const hours = {
  coveredHours: z.number(),
  hoursBelow: z.number(),
  hoursWithin: z.number(),
  hoursAbove: z.number(),
};
const optional = z.number().nullable();
const temperature = {
  ...hours,
  degreeHoursBelow: z.number(),
  degreeHoursAbove: z.number(),
  minC: optional,
  maxC: optional,
  meanC: optional,
};
export const exposuresSchema = z.object({
  placeId: z.string(),
  rootZone: z.object(temperature),
  air: z.object({ ...temperature, hoursOverCeiling: z.number(), degreeHoursOverCeiling: z.number() }),
  vpd: z.object({
    ...hours,
    kpaHoursBelow: z.number(),
    kpaHoursAbove: z.number(),
    minKpa: optional,
    maxKpa: optional,
    meanKpa: optional,
  }),
  saturation: z.object({ coveredHours: z.number(), hoursSaturated: z.number() }),
  light: z.object({
    coveredHours: z.number(),
    days: z.array(z.object({ date: z.string(), dliMolM2: z.number(), coveredHours: z.number() })),
  }),
});
export const seriesSchema = z.object({
  unit: z.string(),
  points: z.array(z.object({ t: z.string(), value: z.number().nullable() })),
});

export const houseSchema = z.object({ readings: z.object({ refused: z.number(), conflicts: z.number() }) });

/** Rows as packs of a device, each of 1 to `most` rows, 3 records a row, with absolute times. */
export function packsOf(of: {
  rows: readonly OpenDataRow[];
  device: string;
  most: number;
  seed: number;
}): string[] {
  const next = seededNumbers(of.seed);
  const packs: string[] = [];
  for (let first = 0; first < of.rows.length; ) {
    const size = 1 + Math.floor(next() * of.most);
    packs.push(packOf(of.rows.slice(first, first + size), of.device));
    first += size;
  }
  return packs;
}

function packOf(packed: readonly OpenDataRow[], device: string): string {
  const records = packed.flatMap(({ atMs, airTemperatureC, relativeHumidityPct, illuminanceLx }) => [
    { bn: `${device}/`, bt: atMs / 1000, n: 'air/temperature', u: 'Cel', v: airTemperatureC },
    { n: 'air/humidity', u: '%RH', v: relativeHumidityPct },
    { n: 'light/illuminance', u: 'lx', v: illuminanceLx },
  ]);
  return JSON.stringify(records);
}

/** Publishes packs of a device one after the other, each acknowledged before the next. */
export async function publishAll(
  publisher: Publisher,
  device: string,
  packs: readonly string[],
): Promise<void> {
  for (const payload of packs) await publisher.publish({ topic: readingsTopic(device), payload });
}

/** Gives a place both sheets over HTTP, each from its own time on. */
export async function setTargets(daemon: Daemon, placeId: string): Promise<void> {
  for (const { from, dayStart, nightStart, day, night, ceiling, vpd } of SHEETS) {
    const degrees = (band: Limits) => ({ lowC: band.low, highC: band.high });
    const air = { day: degrees(day), night: degrees(night), ceilingC: ceiling };
    const rootZone = { day: degrees(day), night: degrees(night) };
    const saturation = { relativeHumidityPct: 97 };
    const targets = {
      dayStart,
      nightStart,
      rootZone,
      air,
      vpd: { lowKpa: vpd.low, highKpa: vpd.high },
      saturation,
    };
    const answer = await daemon.put(`/api/v1/places/${placeId}/targets`, { ...targets, from });
    expect(answer.status).toBe(200);
  }
}

/** The sheet in force at a time, ms since epoch. */
export function sheetAt(atMs: number): (typeof SHEETS)[number] {
  return SHEETS.findLast(({ from }) => atMs >= Date.parse(from)) ?? SHEETS[0];
}

/** The air band in force at a time, °C: by the sheet, and by its wall clock read as UTC. */
export function airLimitsAt(atMs: number): Limits {
  const { dayStart, nightStart, day, night } = sheetAt(atMs);
  const clock = new Date(atMs).toISOString().slice(11, 16);
  return clock >= dayStart && clock < nightStart ? day : night;
}

/** One quantity of the rows over time. */
export function trackOf(kept: readonly OpenDataRow[], value: (row: OpenDataRow) => number): Track {
  return { timesMs: kept.map(({ atMs }) => atMs), values: kept.map(value) };
}

/** psychrolib's saturation and vapour pressure, Pa, as a deficit in kPa. */
export function vpdKpaOf({ airTemperatureC, relativeHumidityPct }: OpenDataRow): number {
  const vapourPa = psychrolib.GetVapPresFromRelHum(airTemperatureC, relativeHumidityPct / 100);
  return (psychrolib.GetSatVapPres(airTemperatureC) - vapourPa) / 1000;
}

/** Sums of 1e5 terms in another order than the daemon's; minimum and mean are of the size 1 to 30. */
export const VALUE_TOLERANCE = 1e-8;

/** Both missing, or no further apart than the tolerance. */
export function expectNear(found: number | null, expected: number | null, tolerance: number): void {
  if (expected === null || found === null) expect(found).toBe(expected);
  else expect(Math.abs(found - expected)).toBeLessThanOrEqual(tolerance);
}

type Found = z.infer<typeof exposuresSchema>;
type ExposureQuestion = {
  readonly placeId: string;
  readonly rows: readonly OpenDataRow[];
  readonly window: { readonly fromMs: number; readonly toMs: number };
};

/**
 * All that the daemon says of a window agrees with the dense integration, within the tolerances that gives itself.
 *
 * @param found the daemon's answer
 * @param asked the place, the rows it was sent and the window
 */
export function expectExposures(found: Found, { placeId, rows: sent, window }: ExposureQuestion): void {
  expect(found.placeId).toBe(placeId);
  const air = trackOf(sent, (row) => row.airTemperatureC);
  const { degreeHoursBelow, degreeHoursAbove, minC, maxC, meanC, ...airHours } = found.air;
  const airFound = { below: degreeHoursBelow, above: degreeHoursAbove, min: minC, max: maxC, mean: meanC };
  expectBand({ ...airHours, ...airFound }, denseExposure(air, window, airLimitsAt));
  const overCeiling = (atMs: number) => ({ low: Number.NEGATIVE_INFINITY, high: sheetAt(atMs).ceiling });
  const ceiling = denseExposure(air, window, overCeiling);
  expectNear(found.air.hoursOverCeiling, ceiling.hoursAbove, ceiling.hoursTolerance);
  expectNear(found.air.degreeHoursOverCeiling, ceiling.unitHoursAbove, ceiling.unitHoursTolerance);

  const { kpaHoursBelow, kpaHoursAbove, minKpa, maxKpa, meanKpa, ...vpdHours } = found.vpd;
  const vpdFound = { below: kpaHoursBelow, above: kpaHoursAbove, min: minKpa, max: maxKpa, mean: meanKpa };
  const vpd = denseExposure(trackOf(sent, vpdKpaOf), window, (atMs) => sheetAt(atMs).vpd);
  expectBand({ ...vpdHours, ...vpdFound }, vpd);

  // A dry office: the highest reading is 28.5 %RH, and no sheet may call less than 50 %RH saturated.
  expect(found.saturation.hoursSaturated).toBe(0);
  expectNear(found.saturation.coveredHours, vpd.coveredHours, VALUE_TOLERANCE);
  // No probe stood in a root zone.
  const nothing = { coveredHours: 0, hoursBelow: 0, hoursWithin: 0, hoursAbove: 0 };
  expect(found.rootZone).toMatchObject({ ...nothing, degreeHoursBelow: 0, degreeHoursAbove: 0, minC: null });
  expectLight(found.light, { sent, window });
}

/** Lux of daylight per µmol m⁻² s⁻¹, as the outside interface states it. */
const LX_PER_UMOL = 54;
const DAY_MS = 86_400_000;

function expectLight(
  light: Found['light'],
  { sent, window }: { sent: ExposureQuestion['rows']; window: ExposureQuestion['window'] },
): void {
  const ppfd = trackOf(sent, ({ illuminanceLx }) => illuminanceLx / LX_PER_UMOL);
  const open = () => ({ low: Number.NEGATIVE_INFINITY, high: Number.POSITIVE_INFINITY });
  expectNear(light.coveredHours, denseExposure(ppfd, window, open).coveredHours, VALUE_TOLERANCE);
  const firstDayMs = Math.floor(window.fromMs / DAY_MS) * DAY_MS;
  const dayStartsMs = Array.from(
    { length: Math.ceil((window.toMs - firstDayMs) / DAY_MS) },
    (_, day) => firstDayMs + day * DAY_MS,
  );
  expect(light.days.map(({ date }) => date)).toEqual(
    dayStartsMs.map((startMs) => new Date(startMs).toISOString().slice(0, 10)),
  );
  for (const [index, startMs] of dayStartsMs.entries()) {
    const day = { fromMs: Math.max(startMs, window.fromMs), toMs: Math.min(startMs + DAY_MS, window.toMs) };
    const { mean, coveredHours } = denseExposure(ppfd, day, open);
    expectNear(light.days[index]?.coveredHours ?? null, coveredHours, VALUE_TOLERANCE);
    const molM2 = ((mean ?? 0) * coveredHours * 3600) / 1e6;
    expectNear(light.days[index]?.dliMolM2 ?? null, molM2, VALUE_TOLERANCE);
  }
}

/** What the daemon says of a band agrees with the dense integration. */
export function expectBand(
  found: Band & {
    readonly below: number;
    readonly above: number;
    readonly min: number | null;
    readonly max: number | null;
    readonly mean: number | null;
  },
  dense: Dense,
): void {
  expectNear(found.coveredHours, dense.coveredHours, VALUE_TOLERANCE);
  for (const name of ['hoursBelow', 'hoursWithin', 'hoursAbove'] as const)
    expectNear(found[name], dense[name], dense.hoursTolerance);
  expectNear(found.below, dense.unitHoursBelow, dense.unitHoursTolerance);
  expectNear(found.above, dense.unitHoursAbove, dense.unitHoursTolerance);
  for (const name of ['min', 'max', 'mean'] as const) expectNear(found[name], dense[name], VALUE_TOLERANCE);
}
