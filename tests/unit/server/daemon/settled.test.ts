import fc from 'fast-check';
import { expect, test } from 'vitest';
import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import { exposureQuestion } from '../../../../server/daemon/world/records.ts';
import type { Targets } from '../../../../shared/model/targets.ts';
import { exposuresOf } from '../../../support/exposures-of.ts';
import { clockByHand } from '../support/hand.ts';
import {
  databaseFile,
  type House,
  packOf,
  type SentRecord,
  START_MS,
  startHouse,
  TARGET_SHEET_FILE,
} from '../support/house.ts';

const HOUR_MS = 3_600_000;
/** Everything below is long over: all of it may be settled. */
const NOW_MS = START_MS + 72 * HOUR_MS;
const ZONE = 'Asia/Kolkata';
const PROBES = [
  { n: 'air/temperature', u: 'Cel', low: 10 },
  { n: 'air/temperature/2', u: 'Cel', low: 10 },
  { n: 'air/humidity', u: '%RH', low: 70 },
  { n: 'root/temperature', u: 'Cel', low: 10 },
  { n: 'light/ppfd', u: 'umol/m2/s', low: 0 },
] as const;

type Step =
  | { readonly kind: 'readings'; readonly records: readonly SentRecord[] }
  | {
      readonly kind: 'targets';
      readonly fromHour: number;
      readonly ceilingC: number;
      readonly byLight: boolean;
    }
  | { readonly kind: 'settings'; readonly maxGapMin: number }
  | {
      readonly kind: 'correct';
      readonly probe: number;
      readonly fromMin: number;
      readonly gain: number;
      readonly offset: number;
    }
  | { readonly kind: 'withdraw' | 'restore'; readonly nth: number }
  | { readonly kind: 'ice'; readonly probe: number; readonly fromMin: number; readonly lengthMin: number }
  | { readonly kind: 'ask'; readonly fromMin: number; readonly lengthMin: number }
  | { readonly kind: 'restart' };

/** Values that are no measurement, alone or until another bears them out, °C. */
const noMeasurement = fc.constantFrom(85, 85, -127, 126, 80, 70);
const reading = fc
  .record({
    probe: fc.nat(PROBES.length - 1),
    minute: fc.nat(8 * 60),
    tenths: fc.nat(290),
    odd: fc.option(noMeasurement, { freq: 5 }),
  })
  .map(({ probe, minute, tenths, odd }): SentRecord => {
    const { n, u, low } = PROBES[probe] ?? PROBES[0];
    const v = odd !== null && u === 'Cel' ? odd : low + tenths / 10;
    return { n, u, v, t: START_MS / 1_000 + minute * 60 };
  });
const step: fc.Arbitrary<Step> = fc.oneof(
  {
    weight: 4,
    arbitrary: fc.record({
      kind: fc.constant('readings' as const),
      records: fc.array(reading, { minLength: 1, maxLength: 120 }),
    }),
  },
  {
    weight: 1,
    arbitrary: fc.record({
      kind: fc.constant('targets' as const),
      fromHour: fc.nat(24),
      ceilingC: fc.integer({ min: 20, max: 35 }),
      byLight: fc.boolean(),
    }),
  },
  {
    weight: 1,
    arbitrary: fc.record({
      kind: fc.constant('settings' as const),
      maxGapMin: fc.integer({ min: 5, max: 90 }),
    }),
  },
  {
    weight: 2,
    arbitrary: fc.record({
      kind: fc.constant('correct' as const),
      probe: fc.nat(PROBES.length - 1),
      fromMin: fc.integer({ min: -60, max: 9 * 60 }),
      gain: fc.constantFrom(0.9, 1, 1.1),
      offset: fc.integer({ min: -30, max: 30 }).map((tenths) => tenths / 10),
    }),
  },
  {
    weight: 1,
    arbitrary: fc.record({ kind: fc.constantFrom('withdraw' as const, 'restore' as const), nth: fc.nat(9) }),
  },
  {
    weight: 1,
    arbitrary: fc.record({
      kind: fc.constant('ice' as const),
      probe: fc.constantFrom(0, 1, 3),
      fromMin: fc.integer({ min: -60, max: 9 * 60 }),
      lengthMin: fc.integer({ min: 1, max: 120 }),
    }),
  },
  {
    weight: 6,
    arbitrary: fc.record({
      kind: fc.constant('ask' as const),
      fromMin: fc.integer({ min: -90, max: 400 }),
      lengthMin: fc.integer({ min: 1, max: 2_000 }),
    }),
  },
  { weight: 1, arbitrary: fc.constant({ kind: 'restart' as const }) },
);

function openAt(file: string) {
  return startHouse({ hand: clockByHand(NOW_MS), store: openStore({ file, nowMs: 0 }), timeZone: ZONE });
}

type Correcting = Extract<Step, { kind: 'correct' | 'withdraw' | 'restore' }>;

/** Corrects a probe, where it has reported anything yet, or withdraws or restores one of the corrections there are. */
function correct(step: Correcting, { daemon, store }: House): void {
  if (step.kind !== 'correct') {
    const corrections = store.corrections.of(null);
    const { id } = corrections[step.nth % corrections.length] ?? {};
    if (id !== undefined) daemon.checks.setWithdrawn(id, { withdrawn: step.kind === 'withdraw' });
    return;
  }
  const { gain, offset, fromMin } = step;
  const name = (PROBES[step.probe] ?? PROBES[0]).n;
  const probe = daemon.world.probeNamed({ device: 'bench-1', name });
  const fromMs = START_MS + fromMin * 60_000;
  if (probe) daemon.checks.correct(probe.id, { gain, offset, fromMs, reason: 'it was off', checkId: null });
}

/** A probe lay in ice for a while, as is written down afterwards; what it reported then is counted nowhere. */
function putInIce({ probe, fromMin, lengthMin }: Extract<Step, { kind: 'ice' }>, { daemon }: House): void {
  const { checks, world } = daemon;
  const probeId = world.probeNamed({ device: 'bench-1', name: (PROBES[probe] ?? PROBES[0]).n })?.id;
  if (probeId === undefined) return;
  const { id } = checks.start({ probeId, kind: 'ice' });
  const sinceMs = START_MS + fromMin * 60_000;
  checks.begin(id, { sinceMs, untilMs: sinceMs + lengthMin * 60_000 });
  checks.abandon(id);
}

function targetsOf({ ceilingC, byLight }: { ceilingC: number; byLight: boolean }): Targets {
  const air = { ...TARGET_SHEET_FILE.targets.air, ceilingC };
  return {
    ...TARGET_SHEET_FILE.targets,
    air,
    ...(byLight ? { dayBy: { kind: 'light', ppfdUmolM2S: 12 } } : {}),
  };
}

test('exposures are, bit for bit, as counted from the readings alone, after any late readings, edits, corrections and restarts', async () => {
  let asked = 0;
  let settledHours = 0;
  let corrected = 0;
  await fc.assert(
    fc.asyncProperty(fc.array(step, { minLength: 5, maxLength: 40 }), async (steps) => {
      const file = databaseFile();
      let house = openAt(file);
      await house.report([{ n: 'air/temperature', u: 'Cel', v: 20, t: START_MS / 1_000 }]);
      for (const each of steps) {
        const { daemon, store } = house;
        if (each.kind === 'readings') await house.send(packOf(each.records, { arrivedAtMs: NOW_MS }));
        if (each.kind === 'targets') {
          const fromMs = START_MS + each.fromHour * HOUR_MS;
          daemon.orders.setTargets('bench-1', { targets: targetsOf(each), fromMs });
        }
        if (each.kind === 'settings') {
          daemon.orders.patchPlace('bench-1', { settings: { maxGapMs: each.maxGapMin * 60_000 } });
        }
        if (each.kind === 'correct' || each.kind === 'withdraw' || each.kind === 'restore')
          correct(each, house);
        if (each.kind === 'ice') putInIce(each, house);
        if (each.kind === 'restart') {
          daemon.stop();
          store.close();
          house = openAt(file);
        }
        if (each.kind !== 'ask') continue;
        const fromMs = START_MS + each.fromMin * 60_000;
        const span = { fromMs, toMs: fromMs + each.lengthMin * 60_000 };
        const place = daemon.world.places.get('bench-1');
        if (!place) throw new Error('the place is missing');
        const answer = daemon.queries.exposures('bench-1', span);
        const scratch = exposuresOf(
          exposureQuestion(place, span, { world: daemon.world, store, timeZone: ZONE }),
        );
        expect(answer).toEqual(scratch);
        asked++;
        if (store.corrections.of(null).some(({ withdrawnMs }) => withdrawnMs === null)) corrected++;
        settledHours += store.settled.get('bench-1', { fromMs: 0, toMs: 10_000_000 * HOUR_MS }).size;
      }
      house.daemon.stop();
      house.store.close();
    }),
    { seed: 11, numRuns: 100 },
  );
  // the property would hold of nothing were nothing ever asked or settled
  expect(asked).toBeGreaterThan(100);
  expect(settledHours).toBeGreaterThan(150);
  expect(corrected).toBeGreaterThan(50);
});
