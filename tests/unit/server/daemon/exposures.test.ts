import { describe, expect, test } from 'vitest';
import type { Targets } from '../../../../shared/model/targets.ts';
import { clockByHand } from '../support/hand.ts';
import { packOf, type SentRecord, START_MS, startHouse } from '../support/house.ts';
import { TARGETS } from '../support/targets.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const iso = (ms: number) => new Date(ms).toISOString();

/** A quantity read every so many minutes from START on; `valueAt` is given the minute. */
function made(
  quantity: string,
  unit: string,
  course: { minutes: readonly number[]; valueAt(minute: number): number },
) {
  return course.minutes.map(
    (minute): SentRecord => ({
      n: quantity,
      u: unit,
      v: course.valueAt(minute),
      t: START_MS / 1_000 + minute * 60,
    }),
  );
}
const every10Until = (end: number) => Array.from({ length: end / 10 + 1 }, (_, k) => 10 * k);

type Given = {
  readonly records: readonly SentRecord[];
  readonly timeZone?: string;
  readonly targets?: Targets;
  readonly arrivedAtMs?: number;
};

/** A place with a record, held to round bands from ever on; asked some hours later. */
async function placeWith({ records, timeZone = 'UTC', targets = TARGETS, arrivedAtMs }: Given) {
  const house = startHouse({ timeZone, hand: clockByHand(START_MS + 24 * HOUR_MS) });
  for (let k = 0; k < records.length; k += 400) {
    await house.send(
      packOf(records.slice(k, k + 400), { arrivedAtMs: arrivedAtMs ?? START_MS + 24 * HOUR_MS }),
    );
  }
  house.daemon.orders.setTargets('bench-1', { targets, fromMs: 0 });
  const { queries, orders } = house.daemon;
  const ask = (fromMinute: number, toMinute: number) =>
    queries.exposures('bench-1', {
      fromMs: START_MS + fromMinute * MINUTE_MS,
      toMs: START_MS + toMinute * MINUTE_MS,
    });
  return { house, queries, orders, ask };
}

const ramp = made('air/temperature', 'Cel', {
  minutes: every10Until(120),
  valueAt: (minute) => 24 + minute / 30,
});

describe('24 to 28 °C over 2 h against 25 °C', () => {
  // contract, "What the exposures mean, exactly"; the rest by hand: 27 °C is passed after 1.5 h, ½ h × 1 K / 2 over it
  test('spends 1.5 h and 2.25 °C·h above, and 0.5 h and 0.25 °C·h over a ceiling of 27 °C', async () => {
    const { ask } = await placeWith({ records: ramp });
    const { air, rootZone } = ask(0, 120);
    const expected = {
      coveredHours: 2,
      hoursBelow: 0,
      hoursWithin: 0.5,
      hoursAbove: 1.5,
      degreeHoursBelow: 0,
    };
    // thirds of a degree: sums of doubles are off by some 1e-15
    for (const [name, value] of Object.entries({
      ...expected,
      degreeHoursAbove: 2.25,
      minC: 24,
      maxC: 28,
      meanC: 26,
    })) {
      expect(air).toHaveProperty(name, expect.closeTo(value, 9));
    }
    expect(air.hoursOverCeiling).toBeCloseTo(0.5, 9);
    expect(air.degreeHoursOverCeiling).toBeCloseTo(0.25, 9);
    expect(rootZone).toMatchObject({ coveredHours: 0, minC: null, maxC: null, meanC: null });
  });

  test('read at its 2 ends only counts the same where the place joins gaps of 2 h, and nothing where 15 min', async () => {
    const ends = ramp.filter((_, k) => k === 0 || k === 12);
    const { ask, orders } = await placeWith({ records: ends });
    expect(ask(0, 120).air).toMatchObject({ coveredHours: 0, hoursAbove: 0 });
    orders.patchPlace('bench-1', { settings: { maxGapMs: 2 * HOUR_MS } });
    expect(ask(0, 120).air).toMatchObject({ coveredHours: 2, hoursAbove: 1.5, degreeHoursAbove: 2.25 });
  });

  test('cut at 65 min gives 2 parts that sum to the whole', async () => {
    const { ask } = await placeWith({ records: ramp });
    const [left, right] = [ask(0, 65).air, ask(65, 120).air];
    expect(left.degreeHoursAbove + right.degreeHoursAbove).toBeCloseTo(2.25, 9);
    expect(left.hoursAbove + right.hoursAbove).toBeCloseTo(1.5, 9);
  });
});

describe('targets that change within an hour', () => {
  const warm = made('air/temperature', 'Cel', { minutes: every10Until(120), valueAt: () => 26 });
  const upTo = (highC: number): Targets => ({
    ...TARGETS,
    air: { ...TARGETS.air, day: { lowC: 20, highC } },
  });
  const at = (minute: number) => START_MS + minute * MINUTE_MS;

  test('26 °C against 25 °C, from 30 min 25.5 °C, from 75 min 26 °C: 0.5 + 0.375 °C·h in 1.25 h', async () => {
    const { ask, orders } = await placeWith({ records: warm, targets: upTo(25) });
    orders.setTargets('bench-1', { targets: upTo(25.5), fromMs: at(30) });
    orders.setTargets('bench-1', { targets: upTo(26), fromMs: at(75) });
    // by hand: ½ h × 1 K + ¾ h × ½ K; at its limit is within. All binary fractions: exact
    expect(ask(0, 120).air).toMatchObject({ hoursAbove: 1.25, hoursWithin: 0.75, degreeHoursAbove: 0.875 });
  });

  test('a later edit to 24 °C from 15 min replaces both: 0.25 + 3.5 °C·h in 2 h', async () => {
    const { ask, orders } = await placeWith({ records: warm, targets: upTo(25) });
    orders.setTargets('bench-1', { targets: upTo(25.5), fromMs: at(30) });
    orders.setTargets('bench-1', { targets: upTo(24), fromMs: at(15) });
    // by hand: ¼ h × 1 K + 1¾ h × 2 K
    expect(ask(0, 120).air).toMatchObject({ hoursAbove: 2, hoursWithin: 0, degreeHoursAbove: 3.75 });
  });

  test('night from 20:00 holds 18 °C against 15 °C: 3 °C·h in the hour, 2 °C·h too cold in the hour before', async () => {
    const evening = made('air/temperature', 'Cel', {
      minutes: every10Until(120).map((m) => m + 540),
      valueAt: () => 18,
    });
    const { ask } = await placeWith({ records: evening });
    const { air } = ask(540, 660);
    expect(air).toMatchObject({ hoursBelow: 1, hoursAbove: 1, degreeHoursBelow: 2, degreeHoursAbove: 3 });
  });
});

describe('vapour pressure deficit', () => {
  // Saturation over water at 20, 25, 30 °C, kPa: [ASHRAE17] table 3, as in tests/truth. Tolerance 2e-4: the table
  // rounds to 0.0001 kPa, and the fit the project uses lies within 0.0002 kPa of it.
  const [at20, at25, at30] = [2.3392, 3.1697, 4.2467];
  const humid = (minutes: readonly number[], valueAt: (minute: number) => number) =>
    made('air/humidity', '%RH', { minutes, valueAt });
  const air = (minutes: readonly number[], valueAt: (minute: number) => number) =>
    made('air/temperature', 'Cel', { minutes, valueAt });

  test('with temperature read at 0, 10, 20 min and humidity at 5, 15 min exists from 5 to 15 min, with 3 knots', async () => {
    const records = [...air([0, 10, 20], () => 20), ...humid([5, 15], (minute) => (minute === 5 ? 50 : 100))];
    const { queries, ask } = await placeWith({ records });
    const span = { fromMs: START_MS, toMs: START_MS + HOUR_MS };
    const { points } = queries.series('bench-1', { ...span, quantity: 'airVpdKpa', points: null });
    expect(points.map(({ t }) => (Date.parse(t) - START_MS) / MINUTE_MS)).toEqual([5, 10, 15]);
    expect(points.map(({ value }) => value)).toEqual([
      expect.closeTo(at20 / 2, 3),
      expect.closeTo(at20 / 4, 3),
      0,
    ]);
    // by hand: from e/2 straight to 0 in 10 min, so 0.5 kPa is left behind after (e/2 − 0.5) / (e/2) of it
    const { vpd } = ask(0, 60);
    expect(vpd.coveredHours).toBeCloseTo(1 / 6, 12);
    expect(vpd.hoursAbove).toBeCloseTo((1 - 1 / at20) / 6, 4);
    expect(vpd.hoursBelow).toBeCloseTo(0.2 / at20 / 6, 4);
    expect(vpd.meanKpa).toBeCloseTo(at20 / 4, 3);
  });

  test('is straight between its knots: 20 to 30 °C at 50 %RH has the mean of its ends, and bends at a 3rd reading', async () => {
    const two = await placeWith({ records: [...air([0, 10], (m) => 20 + m), ...humid([0, 10], () => 50)] });
    expect(two.ask(0, 10).vpd.meanKpa).toBeCloseTo((at20 + at30) / 4, 3);
    const three = await placeWith({
      records: [...air([0, 5, 10], (m) => 20 + m), ...humid([0, 10], () => 50)],
    });
    expect(three.ask(0, 10).vpd.meanKpa).toBeCloseTo((at20 + 2 * at25 + at30) / 8, 3);
  });

  test('takes 104 %RH as saturated: 0 kPa, and 1 h of saturation', async () => {
    const minutes = every10Until(60);
    const { ask } = await placeWith({ records: [...air(minutes, () => 20), ...humid(minutes, () => 104)] });
    const { vpd, saturation } = ask(0, 60);
    expect(vpd).toMatchObject({ coveredHours: 1, hoursBelow: 1, maxKpa: 0 });
    expect(saturation).toEqual({ coveredHours: 1, hoursSaturated: 1 });
  });
});

describe('light', () => {
  const quarters = (hours: number) => Array.from({ length: hours * 4 + 1 }, (_, k) => 15 * k);

  test.each([
    ['2026-03-29', 23, 8.28],
    ['2026-10-25', 25, 9],
  ])('100 µmol m⁻² s⁻¹ all through %s in Rome, %i h, is %f mol m⁻²', async (date, hours, dliMolM2) => {
    // hours of the day by the EU rule; by hand: 100 × h × 3600 s / 10⁶
    const startMs = Date.parse(`${date}T00:00:00Z`) - 24 * HOUR_MS;
    const startMinute = (startMs - START_MS) / MINUTE_MS;
    const minutes = quarters(72).map((minute) => minute + startMinute);
    const records = made('light/ppfd', 'umol/m2/s', { minutes, valueAt: () => 100 });
    const { ask } = await placeWith({
      records,
      timeZone: 'Europe/Rome',
      arrivedAtMs: startMs + 73 * HOUR_MS,
    });
    const { light } = ask(startMinute, startMinute + 72 * 60);
    expect(light.coveredHours).toBe(72);
    const day = light.days.find((one) => one.date === date);
    expect(day).toMatchObject({ date, coveredHours: hours, dliMolM2: expect.closeTo(dliMolM2, 9) });
  });

  test('5400 lx of daylight for 1 h is 0.36 mol m⁻², at 54 lx per µmol m⁻² s⁻¹', async () => {
    const records = made('light/illuminance', 'lx', { minutes: quarters(1), valueAt: () => 5_400 });
    const { ask } = await placeWith({ records });
    expect(ask(0, 60).light.days).toMatchObject([{ date: '2026-06-01', dliMolM2: expect.closeTo(0.36, 9) }]);
  });
});

test('thermal time of 20 to 32 °C in 2 h above 21 °C and capped at 28 °C is 8.75 K·h', async () => {
  const records = made('root/temperature', 'Cel', {
    minutes: every10Until(120),
    valueAt: (minute) => 20 + minute / 10,
  });
  const { queries } = await placeWith({ records });
  const query = { fromMs: START_MS, toMs: START_MS + 2 * HOUR_MS, baseC: 21, upperC: 28 };
  // by hand, 6 K/h: over 21 °C ½ × 11² / 6 = 10.0833 K·h, less over 28 °C ½ × 4² / 6 = 1.3333 K·h, is 8.75 K·h
  expect(queries.thermalTime('bench-1', query)).toMatchObject({
    coveredHours: expect.closeTo(2, 9),
    degreeHours: expect.closeTo(8.75, 9),
  });
});

test('a series with readings at 0, 10, 40 and 50 min has 1 null in the middle of its gap, at 25 min', async () => {
  const records = made('root/temperature', 'Cel', {
    minutes: [0, 10, 40, 50],
    valueAt: (minute) => 20 + minute / 10,
  });
  const { queries } = await placeWith({ records });
  const series = queries.series('bench-1', {
    fromMs: START_MS,
    toMs: START_MS + HOUR_MS,
    quantity: 'rootZoneTemperatureC',
    points: null,
  });
  expect(series).toMatchObject({ quantity: 'rootZoneTemperatureC', unit: '°C' });
  expect(series.points.map(({ t, value }) => [t, value])).toEqual([
    [iso(START_MS), 20],
    [iso(START_MS + 10 * MINUTE_MS), 21],
    [iso(START_MS + 25 * MINUTE_MS), null],
    [iso(START_MS + 40 * MINUTE_MS), 24],
    [iso(START_MS + 50 * MINUTE_MS), 25],
  ]);
});
