import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  type Sample,
  withLimitedSample,
  withTimePassing,
} from '../../../../../server/domain/alarms/limit-alarm.ts';
import type { HeldRule } from '../../../../../server/domain/alarms/limits.ts';
import {
  type LimitSpan,
  type PastAlarm,
  type PastSource,
  pastAlarms,
} from '../../../../../server/domain/alarms/past.ts';
import { newAlarm } from '../../../../../server/domain/alarms/record.ts';

const SECOND_MS = 1_000;
const MINUTE_MS = 60_000;
const STALE_MS = 15 * MINUTE_MS;

const HELD: Readonly<Record<'above' | 'below', HeldRule>> = {
  above: {
    rule: 'air-over-ceiling',
    sense: 'above',
    halving: 5,
    on: true,
    latching: false,
    onDelayMs: MINUTE_MS,
    offDelayMs: MINUTE_MS,
    deadband: 0.5,
  },
  below: {
    rule: 'root-below-band',
    sense: 'below',
    halving: null,
    on: true,
    latching: false,
    onDelayMs: 5 * MINUTE_MS,
    offDelayMs: 0,
    deadband: 0.25,
  },
};

type Noted = Omit<PastAlarm, 'sinceMs'>;

/** Every reading of every source into the live alarm, one after the other, and every second of the time between. */
function plainly(sources: readonly PastSource[], limits: readonly LimitSpan[], held: HeldRule): Noted[] {
  const limitAt = (tMs: number) =>
    limits.find(({ fromMs, toMs }) => tMs >= fromMs && tMs < toMs)?.limit ?? null;
  const samples = sources
    .flatMap(({ source, timesMs, values }) =>
      [...timesMs].map((tMs, i): Sample => {
        return { source, tMs, value: values[i] as number, limit: limitAt(tMs), slopePerMin: null };
      }),
    )
    .sort((a, b) => a.tMs - b.tMs);
  const newest = new Map<string, Sample>();
  const alarms: Noted[] = [];
  let record = newAlarm({ placeId: null, rule: held.rule });
  const take = (step: ReturnType<typeof withLimitedSample>, atMs: number) => {
    record = step.record;
    const { facts } = record;
    const worst = facts?.kind === 'past-limit' ? facts.worst : 0;
    if (step.transition === 'raised') alarms.push({ raisedMs: atMs, returnedMs: null, worst });
    const last = alarms.at(-1);
    if (last?.returnedMs === null)
      alarms[alarms.length - 1] = {
        ...last,
        worst,
        returnedMs: step.transition === 'returned' ? atMs : null,
      };
  };
  const pass = (nowMs: number) => {
    const time = { nowMs, staleAfterMs: STALE_MS, newest: (source: string) => newest.get(source) ?? null };
    take(withTimePassing(record, time, held), nowMs);
  };
  let nowMs = 0;
  const until = (toMs: number) => {
    for (; nowMs < toMs; nowMs += SECOND_MS) pass(nowMs);
  };
  for (const sample of samples) {
    until(sample.tMs);
    newest.set(sample.source, sample);
    take(withLimitedSample(record, sample, held), sample.tMs);
  }
  until((samples.at(-1)?.tMs ?? 0) + STALE_MS);
  return alarms;
}

const runs = fc.array(
  fc.record({
    value: fc.constantFrom(25, 26.2, 26.25, 26.3, 26.45, 26.5, 26.7, 26.75, 27, 31),
    readings: fc.constantFrom(1, 2, 5, 40),
    everyS: fc.constantFrom(1, 10, 60, 1_200),
  }),
  { minLength: 1, maxLength: 14 },
);
const limits = fc.array(
  fc.record({
    limit: fc.constantFrom<number | null>(26.7, 26.5, null),
    lastsS: fc.integer({ min: 30, max: 4_000 }),
  }),
  { minLength: 1, maxLength: 5 },
);

function sourceOf(
  source: string,
  of: readonly { value: number; readings: number; everyS: number }[],
): PastSource {
  const [timesMs, values]: [number[], number[]] = [[], []];
  let atMs = 1_000;
  for (const { value, readings, everyS } of of)
    for (let k = 0; k < readings; k += 1) {
      timesMs.push(atMs);
      values.push(value);
      atMs += everyS * SECOND_MS;
    }
  return { source, timesMs: Float64Array.from(timesMs), values: Float64Array.from(values) };
}

function spansOf(of: readonly { limit: number | null; lastsS: number }[]): LimitSpan[] {
  let fromMs = 0;
  return of.map(({ limit, lastsS }, i) => {
    const toMs = i === of.length - 1 ? 1e15 : fromMs + lastsS * SECOND_MS;
    const span = { fromMs, toMs, limit };
    fromMs = toMs;
    return span;
  });
}

test.each(['above', 'below'] as const)(
  'what is skipped changes nothing: 250 records of two probes held %s a limit that moves give the alarms that every reading and every second give, to the second',
  (sense) => {
    let raised = 0;
    fc.assert(
      fc.property(runs, runs, limits, (one, two, moved) => {
        const sources = [sourceOf('1', one), sourceOf('2', two)];
        const spans = spansOf(moved);
        const past = pastAlarms({ sources, limits: spans, held: HELD[sense], staleAfterMs: STALE_MS });
        const plain = plainly(sources, spans, HELD[sense]);
        expect(past.map(({ returnedMs, worst }) => ({ returnedMs, worst }))).toEqual(
          plain.map(({ returnedMs, worst }) => ({ returnedMs, worst })),
        );
        // an on-delay that runs out between readings is known to the ms in the past, to the second in the model
        for (const [i, { raisedMs }] of past.entries())
          expect(Math.abs(raisedMs - (plain[i]?.raisedMs ?? 0))).toBeLessThanOrEqual(SECOND_MS);
        raised += past.length;
      }),
      { numRuns: 250 },
    );
    expect(raised).toBeGreaterThan(100);
  },
  60_000,
);
