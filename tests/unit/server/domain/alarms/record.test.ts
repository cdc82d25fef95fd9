import { describe, expect, test } from 'vitest';
import { alarmStep } from '../../../../../server/domain/alarms/machine.ts';
import {
  isShelved,
  newAlarm,
  withAcknowledgement,
  withCondition,
  withoutShelving,
  withShelving,
} from '../../../../../server/domain/alarms/record.ts';
import { alarmView } from '../../../../../server/domain/alarms/view.ts';

const fresh = newAlarm({ placeId: 'bench-1', rule: 'air-over-ceiling' });
const raised = withCondition(fresh, { isMet: true, atMs: 100 }).record;

/** The table of the alarm state model of IEC 62682 without latching, recalled: state, what happens, next, transition. */
const TABLE = [
  ['normal', 'met', 'unacknowledged', 'raised'],
  ['normal', 'over', 'normal', null],
  ['normal', 'acknowledge', 'normal', null],
  ['unacknowledged', 'met', 'unacknowledged', null],
  ['unacknowledged', 'over', 'returned-unacknowledged', 'returned'],
  ['unacknowledged', 'acknowledge', 'acknowledged', 'acknowledged'],
  ['acknowledged', 'met', 'acknowledged', null],
  ['acknowledged', 'over', 'normal', 'returned'],
  ['acknowledged', 'acknowledge', 'acknowledged', null],
  ['returned-unacknowledged', 'met', 'unacknowledged', 'raised'],
  ['returned-unacknowledged', 'over', 'returned-unacknowledged', null],
  ['returned-unacknowledged', 'acknowledge', 'normal', 'acknowledged'],
  ['unacknowledged', 'over-latched', 'latched-unacknowledged', 'returned'],
  ['acknowledged', 'over-latched', 'latched-acknowledged', 'returned'],
  ['latched-unacknowledged', 'over', 'latched-unacknowledged', null],
  ['latched-unacknowledged', 'reset', 'latched-unacknowledged', null],
  ['latched-unacknowledged', 'acknowledge', 'latched-acknowledged', 'acknowledged'],
  ['latched-unacknowledged', 'met', 'unacknowledged', 'raised'],
  ['latched-acknowledged', 'met', 'unacknowledged', 'raised'],
  ['latched-acknowledged', 'acknowledge', 'latched-acknowledged', null],
  ['latched-acknowledged', 'reset', 'normal', 'reset'],
  ['acknowledged', 're-alarm', 'unacknowledged', 're-alarmed'],
  ['unacknowledged', 're-alarm', 'unacknowledged', null],
  ['normal', 're-alarm', 'normal', null],
  ['normal', 'reset', 'normal', null],
] as const;

test.each(TABLE)('%s and %s gives %s (%s)', (from, what, state, transition) => {
  expect(alarmStep(from, what)).toEqual({ state, transition });
});

describe('the record of an alarm', () => {
  test('notes 3 times: raised at 100, acknowledged at 150, returned at 200 ms', () => {
    const seen = withAcknowledgement(raised, { atMs: 150 }).record;
    const back = withCondition(seen, { isMet: false, atMs: 200 });
    expect(back).toMatchObject({
      transition: 'returned',
      record: { state: 'normal', raisedAtMs: 100, acknowledgedAtMs: 150, returnedAtMs: 200 },
    });
  });

  test('raised again at 300 ms forgets the return and the acknowledgement of the last time', () => {
    const back = withCondition(raised, { isMet: false, atMs: 200 }).record;
    expect(back.state).toBe('returned-unacknowledged');
    const again = withCondition(back, { isMet: true, atMs: 300 });
    expect(again).toMatchObject({
      transition: 'raised',
      record: { state: 'unacknowledged', raisedAtMs: 300, acknowledgedAtMs: null, returnedAtMs: null },
    });
  });

  test('acknowledging one that is normal, or acknowledged since 150 ms, changes nothing', () => {
    expect(withAcknowledgement(fresh, { atMs: 150 })).toEqual({ record: fresh, transition: null });
    const seen = withAcknowledgement(raised, { atMs: 150 }).record;
    expect(withAcknowledgement(seen, { atMs: 160 })).toEqual({ record: seen, transition: null });
  });
});

describe('shelving until 1000 ms', () => {
  const shelved = withShelving(raised, { untilMs: 1_000, reason: 'cover off' });

  test('holds at 999 and not at 1000 ms', () => {
    expect(shelved.transition).toBe('shelved');
    expect(isShelved(shelved.record, { nowMs: 999 })).toBe(true);
    expect(isShelved(shelved.record, { nowMs: 1_000 })).toBe(false);
    expect(isShelved(raised, { nowMs: 0 })).toBe(false);
  });

  test('leaves the alarm tracked underneath: returned at 500 and raised at 600 ms are both noted', () => {
    const back = withCondition(shelved.record, { isMet: false, atMs: 500 });
    const again = withCondition(back.record, { isMet: true, atMs: 600 });
    expect([back.transition, again.transition]).toEqual(['returned', 'raised']);
    expect(again.record).toMatchObject({
      state: 'unacknowledged',
      raisedAtMs: 600,
      shelved: { untilMs: 1_000 },
    });
  });

  test('ends once: the second time there is nothing to end', () => {
    const ended = withoutShelving(shelved.record);
    expect(ended).toEqual({ record: raised, transition: 'unshelved' });
    expect(withoutShelving(ended.record)).toEqual({ record: raised, transition: null });
  });

  test('shows as 2 plain fields, and the conditions of the probes show not at all', () => {
    const view = alarmView(shelved.record, 'Bench 1');
    expect(view).toMatchObject({ placeName: 'Bench 1', shelvedUntilMs: 1_000, shelvedReason: 'cover off' });
    expect(view).not.toHaveProperty('conditions');
    expect(alarmView(raised, 'Bench 1')).toMatchObject({ shelvedUntilMs: null, shelvedReason: null });
  });
});

test.each([
  ['air-over-ceiling', 'high'],
  ['no-data', 'high'],
  ['probe-silent', 'medium'],
] as const)('a new %s alarm is normal, of %s priority and named after place and rule', (rule, priority) => {
  expect(newAlarm({ placeId: 'b', rule })).toMatchObject({
    id: `b.${rule}`,
    state: 'normal',
    priority,
    facts: null,
  });
});
