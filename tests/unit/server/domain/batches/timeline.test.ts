import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { leadsOf } from '../../../../../server/domain/batches/leading.ts';
import {
  firstDifferenceMs,
  spliced,
  targetsTimeline,
} from '../../../../../server/domain/batches/timeline.ts';
import {
  ceilingsOf,
  type Deed,
  deeds,
  keptAfter,
  LAST_MS,
  leaderAt,
  PLACES,
  withCeiling,
} from '../../support/batch-model.ts';

const instants = Array.from({ length: LAST_MS + 1 }, (_, i) => i);
const [HERE, THERE] = PLACES;

function ceilings(story: readonly Deed[], placeId: string = HERE): (number | undefined)[] {
  const timeline = targetsTimeline(keptAfter(story, placeId));
  return instants.map((atMs) => timeline.findLast(({ fromMs }) => fromMs <= atMs)?.targets.air.ceilingC);
}

describe('the targets of a place', () => {
  test('are those of a model that goes from instant to instant, in 3,000 stories of two places', () => {
    fc.assert(
      fc.property(deeds, fc.constantFrom(...PLACES), (story, placeId) => {
        expect(ceilings(story, placeId)).toEqual(ceilingsOf(keptAfter(story, placeId)));
      }),
      { numRuns: 3_000 },
    );
  });

  test('the batch that leads is that of a model without memory, in 3,000 stories', () => {
    fc.assert(
      fc.property(deeds, fc.constantFrom(...PLACES), (story, placeId) => {
        const question = keptAfter(story, placeId);
        const leads = leadsOf(question);
        const found = instants.map(
          (atMs) => leads.findLast(({ fromMs }) => fromMs <= atMs)?.batch?.id ?? null,
        );
        expect(found).toEqual(instants.map((atMs) => leaderAt(question, atMs)?.id ?? null));
      }),
      { numRuns: 3_000 },
    );
  });

  test('follow the stages of a batch stuck at 2: sticking 30, rooting 32 °C from 6 on', () => {
    const story: Deed[] = [
      { kind: 'stick', place: HERE, fromMs: 2 },
      { kind: 'stage', batch: 0, stage: 'rooting', fromMs: 6 },
    ];
    expect(ceilings(story)).toEqual([20, 20, 30, 30, 30, 30, 32, 32, 32, 32, 32, 32, 32]);
    expect(ceilings(story, THERE)).toEqual(instants.map(() => 20));
  });

  test('set by hand at 4 hold until the stage changes at 6, also where that was entered first', () => {
    const stick: Deed = { kind: 'stick', place: HERE, fromMs: 2 };
    const stage: Deed = { kind: 'stage', batch: 0, stage: 'callusing', fromMs: 6 };
    expect(ceilings([stick, { kind: 'hand', fromMs: 4 }, stage]).slice(2, 8)).toEqual([
      30, 30, 20.02, 20.02, 31, 31,
    ]);
    expect(ceilings([stick, stage, { kind: 'hand', fromMs: 4 }]).slice(2, 8)).toEqual([
      30, 30, 20.03, 20.03, 31, 31,
    ]);
  });

  test('of a hand and a stage from one instant, the one entered later holds', () => {
    const stick: Deed = { kind: 'stick', place: HERE, fromMs: 4 };
    const hand: Deed = { kind: 'hand', fromMs: 4 };
    expect(ceilings([stick, hand])[5]).toBe(20.02);
    expect(ceilings([hand, stick])[5]).toBe(30);
  });

  test('that nobody leads keeps the bands; a second batch leads once the first has gone', () => {
    const two: Deed[] = [
      { kind: 'stick', place: HERE, fromMs: 1 },
      { kind: 'stick', place: HERE, fromMs: 3 },
      { kind: 'stage', batch: 1, stage: 'toning', fromMs: 4 },
    ];
    const none: Deed = { kind: 'lead', batch: null, fromMs: 5 };
    const rooting: Deed = { kind: 'stage', batch: 0, stage: 'rooting', fromMs: 7 };
    expect(ceilings([...two, none, rooting]).slice(1)).toEqual(instants.slice(1).map(() => 30));
    const moved: Deed = { kind: 'move', batch: 0, place: THERE, fromMs: 8 };
    expect(ceilings([...two, moved]).slice(7, 9)).toEqual([30, 33]);
    expect(ceilings([...two, moved], THERE).slice(7, 9)).toEqual([20, 30]);
  });
});

describe('two timelines', () => {
  const at = (...entries: readonly (readonly [number, number])[]) =>
    entries.map(([fromMs, ceilingC]) => ({ fromMs, targets: withCeiling(ceilingC) }));

  test('before what was counted for good ends, all stays as it was', () => {
    expect(spliced(at([0, 20], [4, 21]), at([0, 30], [2, 31], [9, 32]), 6)).toEqual(
      at([0, 20], [4, 21], [6, 31], [9, 32]),
    );
    expect(spliced(at([0, 20]), at([0, 30]), Number.NEGATIVE_INFINITY)).toEqual(at([0, 30]));
  });

  test.each([
    [at([0, 20]), at([0, 20]), null],
    [at([0, 20]), at([0, 20], [5, 20]), null],
    [at([0, 20]), at([0, 20], [5, 21]), 5],
    [at([0, 20], [3, 21]), at([0, 20], [5, 21]), 3],
    // before its first entry a timeline is as at its first
    [at([0, 20]), at([0, 21], [3, 20]), Number.NEGATIVE_INFINITY],
  ])('%#: differ from the first instant at which they do', (one, other, fromMs) => {
    expect(firstDifferenceMs(one, other)).toBe(fromMs);
  });
});
