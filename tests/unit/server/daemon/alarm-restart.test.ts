import fc from 'fast-check';
import { expect, test } from 'vitest';
import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import { LEAST_APART_MS } from '../../../../server/daemon/evaluate/delays.ts';
import {
  type Sample,
  withLimitedSample,
  withTimePassing,
} from '../../../../server/domain/alarms/limit-alarm.ts';
import { heldRule } from '../../../../server/domain/alarms/limits.ts';
import { newAlarm, withAcknowledgement, withReAlarm } from '../../../../server/domain/alarms/record.ts';
import { DEFAULT_PLACE_SETTINGS } from '../../../../shared/model/place.ts';
import { alarmModel, type ModelEvent } from '../support/alarm-model.ts';
import { clockByHand } from '../support/hand.ts';
import { airRecord, databaseFile, START_MS, startHouse, TARGET_SHEET_FILE } from '../support/house.ts';

const SECOND_MS = 1_000;
const { maxGapMs } = DEFAULT_PLACE_SETTINGS;
const CEILING = heldRule('air-over-ceiling', {
  place: { kind: 'unstated', settings: DEFAULT_PLACE_SETTINGS },
  targets: TARGET_SHEET_FILE.targets,
});

/** Around every edge: the ceiling of 26.7 °C, the end of its deadband at 26.2 °C, far above and far below. */
const valueC = fc.constantFrom(20, 26.2, 26.3, 26.7, 26.8, 30);
const seconds = fc.constantFrom(1, 10, 20, 30, 59, 60, 61, 200);
const step = fc.oneof(
  {
    weight: 6,
    arbitrary: fc.record({ kind: fc.constant('sample' as const), probe: fc.constantFrom(1, 2), valueC }),
  },
  { weight: 4, arbitrary: fc.record({ kind: fc.constant('wait' as const), seconds }) },
  { weight: 1, arbitrary: fc.record({ kind: fc.constant('acknowledge' as const) }) },
  {
    weight: 1,
    arbitrary: fc.record({ kind: fc.constant('late' as const), probe: fc.constantFrom(1, 2), valueC }),
  },
);
const move = fc.record({ step, restart: fc.boolean() });
/** A probe that stays on one side of the ceiling for a while, at one value or another. */
const spell = fc
  .record({
    probe: fc.constantFrom(1, 2),
    values: fc.constantFrom([26.8, 30], [20, 26.2]),
    each: fc.array(fc.record({ which: fc.constantFrom(0, 1), seconds, restart: fc.boolean() }), {
      maxLength: 5,
    }),
  })
  .map(({ probe, values, each }) =>
    each.flatMap(({ which, seconds: long, restart }) => [
      { step: { kind: 'sample' as const, probe, valueC: values[which] ?? 20 }, restart },
      { step: { kind: 'wait' as const, seconds: long }, restart: false },
    ]),
  );
const steps = fc
  .array(fc.oneof(spell, fc.array(move, { maxLength: 4 })), { minLength: 1, maxLength: 12 })
  .map((parts) => parts.flat());
type Steps = typeof steps extends fc.Arbitrary<infer T> ? T : never;

/** What the model makes of the steps, with time let pass so often, ms. */
function modelled(all: Steps, everyMs = SECOND_MS) {
  const model = alarmModel();
  let nowMs = START_MS;
  for (const { step: one } of all) {
    if (one.kind === 'sample') model.sample(String(one.probe), { atMs: nowMs, valueC: one.valueC });
    if (one.kind === 'acknowledge') model.acknowledge(nowMs);
    if (one.kind !== 'wait') continue;
    for (const endMs = nowMs + one.seconds * SECOND_MS; nowMs < endMs; ) {
      nowMs += everyMs;
      model.time(nowMs);
    }
  }
  return { state: model.state(), events: model.events };
}

/** The same through the functions of the domain, the record written as JSON and read back where a restart is due. */
function throughRecord(all: Steps, { restarts }: { restarts: boolean }) {
  const newest = new Map<string, Sample>();
  const events: ModelEvent[] = [];
  let record = newAlarm({ placeId: 'bench-1', rule: 'air-over-ceiling' });
  let nowMs = START_MS;
  const take = ({ record: next, transition }: ReturnType<typeof withLimitedSample>, atMs: number) => {
    record = next;
    if (transition) events.push({ transition, atMs });
  };
  for (const { step: one, restart } of all) {
    if (one.kind === 'sample' || one.kind === 'late') {
      const tMs = one.kind === 'late' ? nowMs - 3_600_000 : nowMs;
      const source = String(one.probe);
      const sample = { source, tMs, value: one.valueC, limit: 26.7, slopePerMin: null };
      if (one.kind === 'sample') {
        if ((newest.get(source)?.tMs ?? 0) < tMs) newest.set(source, sample);
        take(withLimitedSample(record, sample, CEILING), tMs);
      } else if (newest.has(source)) take(withLimitedSample(record, sample, CEILING), tMs);
    }
    if (one.kind === 'acknowledge') take(withAcknowledgement(record, { atMs: nowMs }), nowMs);
    for (let second = 0; one.kind === 'wait' && second < one.seconds; second++) {
      nowMs += SECOND_MS;
      const time = { nowMs, staleAfterMs: maxGapMs, newest: (id: string) => newest.get(id) ?? null };
      take(withTimePassing(record, time, CEILING), nowMs);
      take(withReAlarm(record, { nowMs }), nowMs);
    }
    if (restarts && restart) record = JSON.parse(JSON.stringify(record));
  }
  return { state: record.state, events };
}

test('a record that is written down and read back at any step goes on as the model says, and as if never read', () => {
  const seen = new Set<string>();
  fc.assert(
    fc.property(steps, (all) => {
      const expected = modelled(all);
      expect(throughRecord(all, { restarts: true })).toEqual(expected);
      expect(throughRecord(all, { restarts: false })).toEqual(expected);
      for (const { transition } of expected.events) seen.add(transition);
      seen.add(expected.state);
    }),
    { numRuns: 500 },
  );
  // 500 stories that never got anywhere would prove nothing
  expect([...seen].toSorted()).toEqual(
    [
      'acknowledged',
      'normal',
      'raised',
      're-alarmed',
      'returned',
      'returned-unacknowledged',
      'unacknowledged',
    ].toSorted(),
  );
});

test('two probes whose on-delays run out in one second are both active: cleared at once, neither clears without its off-delay', () => {
  const sample = (probe: 1 | 2, celsius: 20 | 26.8 | 30) => ({
    step: { kind: 'sample' as const, probe, valueC: celsius },
    restart: false,
  });
  const wait = (long: 1 | 60 | 61) => ({ step: { kind: 'wait' as const, seconds: long }, restart: false });
  const hot = [sample(1, 30), sample(2, 26.8), wait(60), sample(2, 20), sample(1, 20)];
  const seen = throughRecord([...hot, wait(61), sample(1, 20), wait(1)], { restarts: false });
  expect(seen.events.map(({ transition }) => transition)).toEqual(['raised']);
});

/** The same through the real daemon on a real database, made again where a restart is due. */
async function throughDaemon(all: Steps) {
  const hand = clockByHand(START_MS);
  const store = openStore({ file: databaseFile(), nowMs: START_MS });
  let house = startHouse({ store, hand });
  const id = 'bench-1.air-over-ceiling';
  for (const { step: one, restart } of all) {
    if (one.kind === 'sample') await house.report([airRecord(one.valueC, { probe: `/${one.probe}` })]);
    if (one.kind === 'late') {
      await house.report([airRecord(one.valueC, { probe: `/${one.probe}`, ageS: 3_600 })]);
    }
    if (one.kind === 'wait') hand.pass(one.seconds * SECOND_MS);
    if (one.kind === 'acknowledge' && house.daemon.world.alarms.has(id)) house.daemon.orders.acknowledge(id);
    if (!restart) continue;
    house.daemon.stop();
    house = startHouse({ store, hand });
  }
  house.daemon.stop();
  const record = house.daemon.world.alarms.get(id);
  const events = store.alarms.events(id).toReversed();
  store.close();
  return {
    state: record?.state ?? 'normal',
    events: events.map(({ transition, atMs }) => ({ transition, atMs })),
  };
}

test('the daemon with a database, ended and started at any step, raises, returns and acknowledges as the model says', async () => {
  await fc.assert(
    fc.asyncProperty(steps, async (all) => {
      expect(await throughDaemon(all)).toEqual(modelled(all, LEAST_APART_MS));
    }),
    { numRuns: 60 },
  );
});
