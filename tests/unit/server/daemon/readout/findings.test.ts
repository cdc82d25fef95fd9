import { describe, expect, test } from 'vitest';
import { findingsAnswerSchema } from '../../../../../shared/wire/probes/finding.ts';
import { START_MS, startHouse } from '../../support/house.ts';

const MIN_MS = 60_000;
const HOUR_MS = 60 * MIN_MS;

type Point = readonly [minute: number, valueC: number];

/** A house in which bench-1 reported these root temperatures, minutes after the start, and the time is ten minutes after the last. */
async function houseWith(curve: readonly Point[]) {
  const house = startHouse();
  const lastMin = Math.max(...curve.map(([minute]) => minute));
  house.hand.pass((lastMin + 1) * MIN_MS);
  await house.report(
    curve.map(([minute, v]) => ({ n: 'root/temperature', u: 'Cel', v, t: START_MS / 1000 + minute * 60 })),
  );
  return house;
}

const span = { fromMs: START_MS, toMs: START_MS + 2 * HOUR_MS };

describe('readings that are no measurement', () => {
  test('an 85.0 °C between 21 °C at 0 and 10 min leaves 10 min at a mean of 21 °C, and stays listed as sent', async () => {
    const { daemon } = await houseWith([
      [0, 21],
      [5, 85],
      [10, 21],
    ]);
    const { rootZone } = daemon.queries.exposures('bench-1', span);
    expect(rootZone).toMatchObject({ coveredHours: 1 / 6, meanC: 21, maxC: 21 });
    const { points, leftOut } = daemon.queries.series('bench-1', {
      ...span,
      quantity: 'rootZoneTemperatureC',
      points: null,
    });
    expect(points.map(({ value, suspect = false }) => [value, suspect])).toEqual([
      [21, false],
      [85, true],
      [21, false],
    ]);
    expect(leftOut).toEqual([
      {
        t: new Date(START_MS + 5 * MIN_MS).toISOString(),
        value: 85,
        probe: 'bench-1/root/temperature',
        finding: 'power-up',
      },
    ]);
  });

  test('an 85.0 °C after 75 °C and before 88 °C is a fire and counts: 10 min, at most 88 °C', async () => {
    const { daemon } = await houseWith([
      [0, 75],
      [5, 85],
      [10, 88],
    ]);
    expect(daemon.queries.exposures('bench-1', span).rootZone).toMatchObject({
      coveredHours: 1 / 6,
      maxC: 88,
    });
  });

  test('−127 °C from 5 to 25 min between 21 °C leaves a gap: 2 × 5 min at 21 °C are covered', async () => {
    const { daemon } = await houseWith([
      [0, 21],
      [5, 21],
      ...[6, 10, 15, 20, 24].map((minute): Point => [minute, -127]),
      [25, 21],
      [30, 21],
    ]);
    expect(daemon.queries.exposures('bench-1', span).rootZone).toMatchObject({
      coveredHours: 1 / 6,
      minC: 21,
    });
  });

  test('a newest reading of 85.0 °C leaves the place at the 21 °C read a minute before', async () => {
    const { daemon } = await houseWith([
      [0, 21],
      [1, 85],
    ]);
    expect(daemon.queries.now('bench-1').quantities.rootZoneTemperatureC).toMatchObject({ value: 21 });
  });

  test('a year drawn in 100 points from the summaries of hours has its highest at 22 °C, though one hour held an 85 and one nothing else', async () => {
    const { daemon } = await houseWith([
      [0, 20],
      [10, 85],
      [20, 22],
      [70, 85],
      [80, 85],
      [130, 21],
    ]);
    const year = { fromMs: START_MS - 300 * 24 * HOUR_MS, toMs: START_MS + 65 * 24 * HOUR_MS };
    const { points } = daemon.queries.series('bench-1', {
      ...year,
      quantity: 'rootZoneTemperatureC',
      points: 100,
    });
    expect(Math.max(...points.map(({ max }) => max ?? 0))).toBe(22);
  });
});

describe('what is found', () => {
  test('an 85.0 °C is shown with probe, time, words and the shape the interface states', async () => {
    const { daemon } = await houseWith([
      [0, 21],
      [5, 85],
      [10, 21],
    ]);
    const answer = findingsAnswerSchema.parse(daemon.queries.findings({ placeId: 'bench-1', span: null }));
    expect(answer.findings).toMatchObject([
      {
        probe: 'bench-1/root/temperature',
        placeId: 'bench-1',
        finding: 'power-up',
        leftOut: true,
        since: new Date(START_MS + 5 * MIN_MS).toISOString(),
        until: null,
        readings: 1,
        facts: { seen: 85, other: 21 },
      },
    ]);
    expect(answer.findings[0]?.words.headline).toBe('bench-1/root/temperature: power-up value, since 10:05.');
  });

  test('three of them are active for 6 h after the last and are over then, and the alarm is cleared', async () => {
    const house = await houseWith([
      [0, 21],
      [5, 85],
      [10, 21],
      [15, 85],
      [20, 21],
      [25, 85],
      [30, 21],
    ]);
    const curve = () => house.daemon.queries.findings({ placeId: null, span: null }).findings;
    expect(curve()).toHaveLength(1);
    expect(house.daemon.findings.suspectFacts('bench-1')).toEqual({
      kind: 'probe-suspect',
      findings: [{ probe: 'bench-1/root/temperature', finding: 'power-up', sinceMs: START_MS + 5 * MIN_MS }],
    });
    house.hand.pass(7 * HOUR_MS);
    await house.report([{ n: 'root/temperature', u: 'Cel', v: 21 }]);
    house.hand.pass(10 * MIN_MS);
    expect(curve()).toMatchObject([{ until: new Date(START_MS + 25 * MIN_MS).toISOString() }]);
    expect(house.daemon.findings.suspectFacts('bench-1')).toBeNull();
  });

  test('one or two lost moments of power in three days are among the findings and raise no alarm: nobody need act', async () => {
    const house = await houseWith([
      [0, 21],
      [5, 85],
      [10, 21],
      [15, 85],
      [20, 21],
    ]);
    expect(house.daemon.queries.findings({ placeId: null, span: null }).findings).toHaveLength(1);
    expect(house.daemon.findings.suspectFacts('bench-1')).toBeNull();
  });

  test('the hourly look finds a leap by itself, and its one point of five is marked from then on', async () => {
    const house = await houseWith([
      [0, 21],
      [5, 21],
      [10, 27],
      [15, 21],
      [20, 21],
    ]);
    expect(house.daemon.findings.suspectFacts('bench-1')).toBeUndefined();
    house.hand.pass(HOUR_MS);
    expect(house.daemon.findings.suspectFacts('bench-1')).not.toBeNull();
    const { points } = house.daemon.queries.series('bench-1', {
      ...span,
      quantity: 'rootZoneTemperatureC',
      points: null,
    });
    expect(points.map(({ suspect }) => suspect ?? false)).toEqual([false, false, true, false, false]);
  });

  test('findings are the same whatever the order in which readings arrive, and after a restart of the looks', async () => {
    const curve: Point[] = [0, 5, 10, 15, 20, 25].map((minute) => [minute, minute === 10 ? 85 : 21]);
    const [one, other] = [await houseWith(curve), await houseWith(curve.toReversed())];
    const asked = { placeId: 'bench-1', span };
    expect(one.daemon.queries.findings(asked)).toEqual(other.daemon.queries.findings(asked));
    expect(one.daemon.queries.findings(asked).findings).toHaveLength(1);
  });

  test('a clock 3 min ahead at three hourly looks is found at the device; the first two looks say nothing', async () => {
    const house = startHouse();
    const kinds = () =>
      house.daemon.queries.findings({ placeId: null, span: null }).findings.map(({ finding }) => finding);
    for (let hour = 0; hour < 4; hour++) {
      const t = house.hand.clock.nowMs() / 1000 + 180;
      await house.report([{ n: 'air/temperature', u: 'Cel', v: 20 + hour, t }]);
      house.hand.pass(HOUR_MS);
      if (hour < 2) expect(kinds()).toEqual([]);
    }
    expect(kinds()).toEqual(['clock-adrift']);
  });

  test('a span of 9 days is too long to look over, one of 8 is not', async () => {
    const { daemon } = await houseWith([[0, 21]]);
    const of = (days: number) => ({
      placeId: null,
      span: { fromMs: START_MS, toMs: START_MS + days * 24 * HOUR_MS },
    });
    expect(daemon.queries.findings(of(8)).findings).toEqual([]);
    expect(() => daemon.queries.findings(of(9))).toThrow(expect.objectContaining({ code: 'bad-request' }));
  });
});
