import { describe, expect, test } from 'vitest';
import { newAlarm } from '../../server/domain/alarms/record.ts';
import { NOT_CALLED } from '../../server/domain/people/escalation.ts';
import type { NewPathTest } from '../../server/ports.ts';
import { DEFAULT_ESCALATION } from '../../shared/model/people/people.ts';
import { type Opened, settle } from './opened.ts';

const quiet = { from: '22:00', to: '06:30' };
const alarm = newAlarm({ placeId: 'bench-1', rule: 'air-over-ceiling' });

/**
 * What a store promises about people, what they were notified of, and messages by contact method.
 *
 * @param opened the store
 */
export function peopleContract({ store, reopen }: Opened): void {
  test('people with contact methods, quiet hours and an escalation are there after a restart; with a person go all contact methods, and no number comes twice', () => {
    const robin = store().people.add({ name: 'Robin', quiet });
    const sam = store().people.add({ name: 'Sam', quiet: null });
    const mail = { kind: 'mail', address: 'robin@bench.example' } as const;
    const method = store().people.addContactMethod(robin.id, mail);
    const escalation = { ...DEFAULT_ESCALATION, steps: [{ personId: sam.id, afterMin: 0 }] };
    store().people.setEscalation(escalation);
    expect(reopen().people.roster()).toEqual({
      people: [
        { ...robin, ways: [method] },
        { ...sam, ways: [] },
      ],
      ladder: escalation,
    });
    expect(store().people.removeContactMethod({ personId: sam.id, wayId: method.id })).toBe(false);
    expect(store().people.remove(robin.id)).toBe(true);
    expect(store().people.remove(robin.id)).toBe(false);
    expect(store().people.addContactMethod(sam.id, mail).id).toBeGreaterThan(method.id);
    expect(store().people.add({ name: 'Kim', quiet: null }).id).toBeGreaterThan(sam.id);
  });

  test('what was sent of an alarm is due at its time, and goes with the place', () => {
    settle(store());
    store().alarms.save(alarm);
    const calling = { ...NOT_CALLED, raisedMs: 5, askingSinceMs: 5, notified: [1] };
    store().people.saveCalling(alarm.id, calling, 50);
    expect(reopen().people.calling(alarm.id)).toEqual(calling);
    expect([store().people.dueCallings(49), store().people.dueCallings(50)]).toEqual([[], [alarm.id]]);
    store().people.saveCalling(alarm.id, calling, null);
    expect(store().people.dueCallings(9e15)).toEqual([]);
    store().people.checkAgainAt(7);
    expect(store().people.dueCallings(7)).toEqual([alarm.id]);
    store().places.removeWithRecord('bench-1');
    expect(store().people.calling(alarm.id)).toBeNull();
  });

  test('a way that fails is remembered from its first failure with the most attempts, until a message is delivered', () => {
    const failure = { wayId: 3, sinceMs: 10, attempts: 2, error: 'down', forGood: false };
    store().people.noteFailure(failure);
    store().people.noteFailure({ ...failure, sinceMs: 20, attempts: 1, error: 'still down' });
    expect(reopen().people.failing()).toEqual([{ ...failure, error: 'still down' }]);
    store().people.noteTaken(3);
    expect(store().people.failing()).toEqual([]);
  });

  test('a link is spent once, and forgotten when it has expired', () => {
    const link = { id: 'a', alarmId: alarm.id, raisedMs: 1, personId: 1, expiresMs: 100 };
    expect([store().people.useLinkOnce(link, 50), reopen().people.useLinkOnce(link, 60)]).toEqual([
      true,
      false,
    ]);
    expect(store().people.isLinkUsed('a')).toBe(true);
    store().people.useLinkOnce({ ...link, id: 'b' }, 101);
    expect(store().people.isLinkUsed('a')).toBe(false);
  });

  describe('tests of ways', () => pathTestsContract({ store, reopen }));

  describe('messages by ways', () => contactMethodsContract({ store, reopen }));
}

function pathTestsContract({ store, reopen }: Opened): void {
  test('the weekly test is as somebody set it after a restart, and what was looked after stays so', () => {
    const tests = () => store().pathTests;
    expect([tests().weekly(), tests().sinceMs()]).toEqual([null, null]);
    tests().markChecked(50);
    expect([reopen().pathTests.weekly(), tests().sinceMs()]).toEqual([null, 50]);
    const weekly = { on: false, weekday: 7, at: '18:00', confirmWithinH: 12 };
    tests().setWeekly(weekly, 60);
    expect([reopen().pathTests.weekly(), tests().sinceMs()]).toEqual([weekly, 60]);
    tests().markChecked(70);
    expect([reopen().pathTests.weekly(), tests().sinceMs()]).toEqual([weekly, 70]);
  });

  test('a test message is remembered with what came of it, newest first, and goes with its way or its age', () => {
    const tests = () => store().pathTests;
    const of = (key: string, wayId: number, putMs: number): NewPathTest => ({
      key,
      wayId,
      putMs,
      cause: 'weekly',
      personId: 1,
      recipient: 'Robin, e-mail',
      confirmByMs: 90,
    });
    const nothingYet = { takenMs: null, error: null, givenUp: false, confirmedMs: null };
    const first = tests().add(of('test-1', 1, 10));
    const second = tests().add(of('test-2', 2, 20));
    expect(reopen().pathTests.all()).toEqual([
      { id: second.id, ...of('test-2', 2, 20), ...nothingYet },
      { id: first.id, ...of('test-1', 1, 10), ...nothingYet },
    ]);
    tests().noteDelivery({ key: 'test-1', takenMs: null, error: 'down', givenUp: true });
    tests().noteDelivery({ key: 'test-2', takenMs: 30, error: null, givenUp: false });
    tests().noteDelivery({ key: 'alarm-3', takenMs: 30, error: null, givenUp: false });
    expect(reopen().pathTests.byKey('test-1')).toMatchObject({ takenMs: null, error: 'down', givenUp: true });
    tests().confirm(second.id, 40);
    tests().confirm(second.id, 50);
    expect(reopen().pathTests.byKey('test-2')).toMatchObject({ takenMs: 30, confirmedMs: 40 });
    expect(tests().byKey('alarm-3')).toBeNull();
    tests().forgetBefore(20);
    expect(
      tests()
        .all()
        .map(({ key }) => key),
    ).toEqual(['test-2']);
    tests().forgetContactMethod(2);
    expect(reopen().pathTests.all()).toEqual([]);
  });
}

function contactMethodsContract({ store, reopen }: Opened): void {
  const about = { alarmId: alarm.id, recipient: 'Robin, e-mail', kind: 'alarm.raised', body: '{}' };
  const put = (key: string, wayId: number, notBeforeMs = 0) =>
    store().outbox.put({ ...about, key, wayId, createdMs: 0, notBeforeMs });

  test('are due by way, not before their time, and 1 way can be given up without the other', () => {
    put('a', 1);
    put('b', 2);
    put('c', 2, 70);
    expect(store().outbox.dueContactMethods(69)).toEqual([1, 2]);
    const due = (wayId: number, nowMs: number) =>
      store()
        .outbox.due({ nowMs, limit: 9, wayId })
        .map(({ key }) => key);
    expect([due(1, 69), due(2, 69), due(2, 70)]).toEqual([['a'], ['b'], ['b', 'c']]);
    expect(store().outbox.isWaiting({ wayId: 2, alarmId: alarm.id })).toBe(true);
    store().outbox.abandonContactMethod(2, 'taken away');
    expect(store().outbox.isWaiting({ wayId: 2, alarmId: alarm.id })).toBe(false);
    store().outbox.sent(1, 80);
    expect(reopen().outbox.ofAlarm(alarm.id, 2)).toMatchObject([
      { key: 'c', state: 'abandoned', lastError: 'taken away', sentMs: null },
      { key: 'b', state: 'abandoned', recipient: 'Robin, e-mail', kind: 'alarm.raised' },
    ]);
    expect(store().outbox.ofAlarm(alarm.id, 9).at(-1)).toMatchObject({
      key: 'a',
      state: 'sent',
      sentMs: 80,
    });
    expect(store().outbox.nextId()).toBe(4);
  });
  test('the newest of a kind that arrived is known by when it was written, not one that waits or was given up', () => {
    const sheet = { ...about, alarmId: null, kind: 'sheet.morning', wayId: 1 };
    for (const [i, createdMs] of [10, 20, 30, 40].entries())
      store().outbox.put({ ...sheet, key: `sheet-${i}`, createdMs });
    put('a', 1);
    expect(store().outbox.newestSent('sheet.morning')).toBeNull();
    for (const id of [1, 2, 5]) store().outbox.sent(id, 99);
    store().outbox.abandon(3, 'no answer');
    expect(reopen().outbox.newestSent('sheet.morning')).toBe(20);
  });
}
