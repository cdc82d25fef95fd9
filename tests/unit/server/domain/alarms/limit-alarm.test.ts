import { describe, expect, test } from 'vitest';
import {
  mustBeKept,
  type Sample,
  withLimitedSample,
  withTimePassing,
} from '../../../../../server/domain/alarms/limit-alarm.ts';
import type { HeldRule } from '../../../../../server/domain/alarms/limits.ts';
import {
  type AlarmRecord,
  newAlarm,
  withAcknowledgement,
} from '../../../../../server/domain/alarms/record.ts';

const SETTINGS: HeldRule = {
  rule: 'air-over-ceiling',
  sense: 'above',
  halving: null,
  on: true,
  latching: false,
  onDelayMs: 60_000,
  offDelayMs: 60_000,
  deadband: 0.5,
};
const fresh = newAlarm({ placeId: 'bench-1', rule: 'air-over-ceiling' });

/** Seconds, °C, and the probe; the ceiling is 27 °C. */
type Point = readonly [atS: number, value: number, probeId?: number];

const sampleOf = ([atS, value, probeId = 1]: Point, limit = 27): Sample => ({
  source: String(probeId),
  tMs: atS * 1_000,
  value,
  limit,
  slopePerMin: null,
});

function run(points: readonly Point[], from: AlarmRecord = fresh) {
  let record = from;
  const transitions: string[] = [];
  for (const point of points) {
    const step = withLimitedSample(record, sampleOf(point), SETTINGS);
    record = step.record;
    if (step.transition) transitions.push(`${point[0]} s ${step.transition}`);
  }
  return { record, transitions };
}

const raisedAt61 = [
  [1, 28],
  [61, 29],
] as const;

describe('each probe is judged by itself', () => {
  test('2 probes taking turns above 27 °C for 40 s each never sum up to 60 s', () => {
    const turns = [0, 1, 2, 3].flatMap((turn): Point[] => [
      [1 + turn * 40, turn % 2 === 0 ? 30 : 20, 1],
      [2 + turn * 40, turn % 2 === 0 ? 20 : 30, 2],
      [40 + turn * 40, turn % 2 === 0 ? 30 : 20, 1],
      [40 + turn * 40, turn % 2 === 0 ? 20 : 30, 2],
    ]);
    expect(run(turns)).toMatchObject({ transitions: [], record: { state: 'normal' } });
  });

  test('1 of 2 that stays above for 60 s raises it', () => {
    const { transitions } = run([
      [1, 28, 1],
      [2, 20, 2],
      [60, 20, 2],
      [61, 28, 1],
    ]);
    expect(transitions).toEqual(['61 s raised']);
  });

  test('a hot probe that stops reporting holds the alarm while the other has been at 20 °C for 10 h', () => {
    const cool = Array.from({ length: 600 }, (_, minute): Point => [100 + minute * 60, 20, 2]);
    expect(run([...raisedAt61, ...cool])).toMatchObject({
      transitions: ['61 s raised'],
      record: { state: 'unacknowledged' },
    });
  });
});

test('late samples, however hot, cold or many, change neither state nor facts', () => {
  const { record } = run([...raisedAt61, [100, 28]]);
  const late: Point[] = [
    [100, 20],
    [99, 0],
    [61, 50],
    [2, 20],
    [0, 99],
  ];
  expect(run(late, record).record).toBe(record);
});

describe('what the alarm says', () => {
  test('is the newest value, the highest since 1 s, and since when', () => {
    const { record } = run([...raisedAt61, [70, 31], [80, 28.5]]);
    expect(record.facts).toEqual({
      kind: 'past-limit',
      value: 28.5,
      limit: 27,
      worst: 31,
      sinceMs: 1_000,
      atMs: 80_000,
      slopePerMin: null,
    });
  });

  test('starts again when it is raised again, unacknowledged from before or not', () => {
    const returned = [
      [70, 35],
      [100, 20],
      [160, 20],
    ] as const;
    const first = run([...raisedAt61, ...returned]).record;
    expect(first.state).toBe('returned-unacknowledged');
    const again = run(
      [
        [1_000, 28],
        [1_060, 28],
      ],
      first,
    ).record;
    expect(again).toMatchObject({ state: 'unacknowledged', facts: { worst: 28, sinceMs: 1_000_000 } });
  });

  test('is about the probe at 33 °C while the other of the 2 waits out its off-delay at 20 °C', () => {
    const both = [
      [1, 28, 1],
      [2, 33, 2],
      [61, 28, 1],
      [62, 33, 2],
    ] as const;
    const { record } = run([...both, [70, 20, 1]]);
    expect(record.facts).toMatchObject({ value: 33, atMs: 62_000, worst: 33 });
  });

  test('keeps its highest, 31 °C, across a restart', () => {
    const before = run(raisedAt61).record;
    const step = withLimitedSample(before, sampleOf([70, 31]), SETTINGS);
    expect(mustBeKept(before, step)).toBe(true);
    expect(mustBeKept(step.record, withLimitedSample(step.record, sampleOf([80, 30]), SETTINGS))).toBe(false);
  });
});

describe('time that passes with a probe that reports every 10 min', () => {
  const armed = run([[1, 28]]).record;
  const passing = (nowS: number, record = armed, ceilingC = 27) =>
    withTimePassing(
      record,
      { nowMs: nowS * 1_000, staleAfterMs: 900_000, newest: () => sampleOf([1, 28], ceilingC) },
      SETTINGS,
    );

  test('raises the alarm 60 s after the only sample', () => {
    expect(passing(60)).toEqual({ record: armed, transition: null });
    expect(passing(61)).toMatchObject({
      transition: 'raised',
      record: { raisedAtMs: 61_000, facts: { value: 28, sinceMs: 1_000, atMs: 1_000 } },
    });
  });

  test('raises nothing once the ceiling was set to 30 °C from a time before that sample', () => {
    expect(passing(61, armed, 30)).toEqual({ record: armed, transition: null });
  });

  test('changes nothing more once it is active, acknowledged or not, in 10 h', () => {
    const { record } = passing(61);
    const seen = withAcknowledgement(record, { atMs: 70_000 }).record;
    for (const one of [record, seen]) expect(passing(36_000, one)).toEqual({ record: one, transition: null });
  });
});
