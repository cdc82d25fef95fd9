import { describe, expect, test } from 'vitest';
import { type AlarmRecord, newAlarm } from '../../../../../server/domain/alarms/record.ts';
import { dryingNow, type StandingBatch } from '../../../../../server/domain/harm/drying.ts';
import { placeState } from '../../../../../shared/harm/place-state.ts';
import { HARM_KINDS, type Harm } from '../../../../../shared/harm/scale.ts';
import { RESPOND_WITHIN_MIN } from '../../../../../shared/rules/harm.ts';
import type { NowValue } from '../../../../../shared/wire/http.ts';

const NOW_MS = Date.UTC(2026, 5, 10, 12);
const DAY_MS = 86_400_000;
const value = (of: number, state: NowValue['state'] = 'within'): NowValue => ({
  value: of,
  unit: '',
  at: new Date(NOW_MS).toISOString(),
  state,
  estimated: false,
});
const unmisted = (minutes: number, limit = 30): AlarmRecord => ({
  ...newAlarm({ placeId: 'sill', rule: 'no-mist-in-light' }),
  state: 'unacknowledged',
  facts: {
    kind: 'past-limit',
    value: minutes,
    limit,
    worst: minutes,
    sinceMs: NOW_MS,
    atMs: NOW_MS,
    slopePerMin: null,
  },
});
const poinsettia = (days: number) => ({
  stuckAtMs: NOW_MS - days * DAY_MS,
  crop: 'Poinsettia',
  isPoinsettia: true,
});
type Facts = Parameters<typeof dryingNow>[0];
type Question = Partial<Omit<Facts, 'standing'>> & { standing?: readonly StandingBatch[] };
const ask = ({ standing = [poinsettia(2)], ...change }: Question = {}) =>
  dryingNow({
    standing: () => standing,
    alarms: [unmisted(35)],
    quantities: { airVpdKpa: value(1.2), ppfdUmolM2S: value(0) },
    nowMs: NOW_MS,
    ...change,
  });
const placeFacts = {
  harm: Object.fromEntries(HARM_KINDS.map((kind) => [kind, 0])) as Harm,
  remembered: 0,
  ratePerHour: {},
  respondWithinMin: RESPOND_WITHIN_MIN,
  active: [],
  blindTo: [],
  wasBlind: false,
  outOfBand: false,
};

describe('leaves that dry without mist', () => {
  // [ALEM19] 130 min on day 2 in the dark
  test('35 of 130 min on day 2 are 0.27, with 95 min left', () => {
    const drying = ask();
    expect(drying?.done).toBeCloseTo(35 / 130, 9);
    expect(placeState({ ...placeFacts, drying })).toMatchObject({
      state: 'act',
      minutesLeft: expect.closeTo(95, 9),
      harm: expect.closeTo(35 / 130, 9),
    });
  });

  test('time since the sample counts: 10 min later 85 min are left', () => {
    const drying = ask({
      nowMs: NOW_MS + 600_000,
      standing: [{ ...poinsettia(2), stuckAtMs: NOW_MS + 600_000 - 2 * DAY_MS }],
    });
    expect(placeState({ ...placeFacts, drying }).minutesLeft).toBeCloseTo(85, 9);
  });

  test('of two batches the younger one decides, as it stands the shortest', () => {
    expect(ask({ standing: [poinsettia(6), poinsettia(0)] })).toEqual(ask({ standing: [poinsettia(0)] }));
  });

  test('the deficit of the leaf counts before that of the air', () => {
    const both = ask({
      quantities: { leafVpdKpa: value(2.4), airVpdKpa: value(1.2), ppfdUmolM2S: value(0) },
    });
    expect(both?.done).toBeCloseTo(35 / 65, 9);
  });

  test('the nearer end is said: 40 min left of the mist, 76 of the heat', () => {
    const drying = { done: 0.5, ratePerHour: 60 / 80, respondWithinMin: 20 };
    const state = placeState({ ...placeFacts, drying, ratePerHour: { 'air-over-ceiling': 60 / 76 } });
    expect(state.minutesLeft).toBeCloseTo(40, 9);
  });

  test('past the end no minutes are left, and never fewer than none', () => {
    expect(placeState({ ...placeFacts, drying: ask({ alarms: [unmisted(300)] }) }).minutesLeft).toBe(0);
  });

  test.each([
    ['a batch', { standing: [] }],
    ['one younger than 6 days', { standing: [poinsettia(7)] }],
    ['an active alarm', { alarms: [newAlarm({ placeId: 'sill', rule: 'no-mist-in-light' })] }],
    ['mist that is late', { alarms: [unmisted(5)] }],
    [
      'air in which it would stand shorter than the longest measured',
      { quantities: { airVpdKpa: value(0.2) } },
    ],
    ['a deficit of now', { quantities: { airVpdKpa: value(1.2, 'stale') } }],
  ])('without %s nothing is said', (_what, change) => {
    expect(ask(change)).toBeNull();
    expect(placeState({ ...placeFacts, drying: ask(change) })).toEqual(placeState(placeFacts));
  });
});
