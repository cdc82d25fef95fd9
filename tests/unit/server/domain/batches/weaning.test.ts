import { describe, expect, test } from 'vitest';
import type { CountEntry, KeptBatch } from '../../../../../server/domain/batches/batch.ts';
import { weaningOf } from '../../../../../server/domain/batches/weaning.ts';
import { NO_DETAILS } from '../../../../../shared/model/cuttings/batch.ts';
import type { WeaningPlan } from '../../../../../shared/model/cuttings/weaning.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
const STEPS = [
  { days: 1, lowKpa: 0.3, highKpa: 0.6 },
  { days: 2, lowKpa: 0.6, highKpa: 1 },
];
const PLAN: WeaningPlan = { fromMs: 10 * DAY_MS, gateShare: 0.8, steps: STEPS };

type Story = {
  readonly plan?: WeaningPlan | null;
  readonly counts?: readonly (readonly [day: number, looked: number, rooted: number])[];
  readonly closedDay?: number;
  readonly nowDay: number;
  /** shares of each hour that passed, by the lower end of the band */
  readonly within?: Readonly<Record<number, readonly [below: number, within: number, above: number]>>;
};

function told({ plan = PLAN, counts = [], closedDay, nowDay, within = {} }: Story) {
  const batch: KeptBatch = {
    id: 1,
    body: {
      ...NO_DETAILS,
      crop: 'Coleus',
      count: 50,
      sheets: [{ sheetId: 'coleus', version: 1, fromMs: 0, entered: 1 }],
      weaning: plan,
    },
    stuckMs: 0,
    closed: closedDay === undefined ? null : { atMs: closedDay * DAY_MS, entered: 3 },
    deletedMs: null,
    stays: [{ n: 0, placeId: 'sill', fromMs: 0, entered: 1 }],
    stages: [{ n: 1, stage: 'sticking', fromMs: 0, entered: 1 }],
    counts: counts.map(([day, looked, rooted], i): CountEntry => {
      return { n: i + 1, atMs: day * DAY_MS, count: { looked, rooted } };
    }),
  };
  return weaningOf(batch, {
    nowMs: nowDay * DAY_MS,
    recordOf: ({ fromMs, toMs }, { lowKpa }) => {
      const hours = (toMs - fromMs) / HOUR_MS;
      const [below, inside, above] = within[lowKpa] ?? [0, 1, 0];
      return { hoursBelow: below * hours, hoursWithin: inside * hours, hoursAbove: above * hours };
    },
  });
}

describe('a plan of a day and two days from day 10 on', () => {
  test('is ahead on day 9, and counts nothing', () => {
    const weaning = told({ nowDay: 9 });
    expect(weaning.verdict).toBe('ahead');
    expect(weaning.steps).toMatchObject([
      {
        from: '1970-01-11T00:00:00.000Z',
        to: '1970-01-12T00:00:00.000Z',
        state: 'ahead',
        hours: 0,
        held: null,
      },
      {
        from: '1970-01-12T00:00:00.000Z',
        to: '1970-01-14T00:00:00.000Z',
        state: 'ahead',
        hours: 0,
        held: null,
      },
    ]);
  });

  test('on day 11.5 its first step is judged, of its second 12 h have passed', () => {
    const weaning = told({ nowDay: 11.5, within: { 0.3: [0.05, 0.9, 0.05], 0.6: [0.5, 0.25, 0] } });
    expect(weaning.verdict).toBe('under-way');
    expect(weaning.steps).toMatchObject([
      { state: 'over', hours: 24, hoursBelow: expect.closeTo(1.2, 9), held: 'held' },
      {
        state: 'running',
        hours: 12,
        hoursBelow: 6,
        hoursWithin: 3,
        hoursAbove: 0,
        hoursUnknown: 3,
        held: null,
      },
    ]);
  });

  test('a batch closed on day 12 has its second step cut short', () => {
    expect(told({ nowDay: 20, closedDay: 12, counts: [[11, 10, 10]] })).toMatchObject({
      verdict: 'cut-short',
      steps: [{ held: 'held' }, { state: 'cut-short', hours: 24, held: null }],
    });
  });
});

describe('a step of 48 h is held with 38.4 h within its band', () => {
  test.each([
    ['on record', [0.1, 0.8, 0.1], 'held'],
    ['at least, 20 % unseen', [0, 0.8, 0], 'held'],
    ['at most, 30 % unseen', [0.1, 0.6, 0], 'cannot-be-judged'],
    ['never, 10 % unseen', [0.25, 0.65, 0], 'not-held'],
    ['unknown, nothing on record', [0, 0, 0], 'cannot-be-judged'],
    ['drier all the time', [0, 0, 1], 'not-held'],
  ] as const)('%s', (_, shares, held) => {
    expect(told({ nowDay: 14, within: { 0.6: shares } }).steps[1]?.held).toBe(held);
  });
});

describe('nothing is called weaned without a tug test and steps that were held', () => {
  const met = [[9, 20, 16]] as const;
  test.each([
    ['held, 16 of 20 rooted', { counts: met }, 'weaned'],
    ['held, never counted', {}, 'no-tug-test'],
    ['held, 15 of 20 rooted', { counts: [[9, 20, 15]] }, 'too-few-rooted'],
    ['held, the newest count worse than the first', { counts: [...met, [12, 20, 10]] }, 'too-few-rooted'],
    ['the last step not held', { counts: met, within: { 0.6: [0.9, 0.1, 0] } }, 'not-held'],
    ['the first step half unseen', { counts: met, within: { 0.3: [0, 0.5, 0] } }, 'cannot-be-judged'],
    ['one not held, one unseen', { counts: met, within: { 0.3: [0, 0, 0], 0.6: [1, 0, 0] } }, 'not-held'],
  ] as const)('%s', (_, story, verdict) => {
    expect(told({ nowDay: 13, ...story }).verdict).toBe(verdict);
  });

  test('that it began before any tug test found as many is said', () => {
    expect(told({ nowDay: 13, counts: met }).gate).toMatchObject({ state: 'met', metBeforeStart: true });
    expect(told({ nowDay: 13, counts: [[12, 20, 20]] }).gate).toMatchObject({
      state: 'met',
      metBeforeStart: false,
    });
  });
});

test('without a plan there is the usual one to begin with, marked as trade convention', () => {
  const weaning = told({ nowDay: 3, plan: null });
  expect(weaning).toMatchObject({ plan: null, gate: null, steps: [], verdict: null });
  expect(weaning.usual.source).toContain('no paper found');
  expect(weaning.usual.steps.every(({ lowKpa, highKpa }) => lowKpa < highKpa)).toBe(true);
});
