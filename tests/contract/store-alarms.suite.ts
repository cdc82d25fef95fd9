import { expect, test } from 'vitest';
import { newAlarm, withCondition } from '../../server/domain/alarms/record.ts';
import { type Opened, settle } from './opened.ts';

const fresh = newAlarm({ placeId: 'bench-1', rule: 'air-over-ceiling' });
const raised = {
  ...withCondition(fresh, { isMet: true, atMs: 100 }).record,
  conditions: { 7: { phase: 'standing', sinceMs: 40, lastMs: 100, elapsedMs: 0, pace: 1 } },
} as const;

/**
 * What a store promises about alarms and their history.
 *
 * @param opened the store
 */
export function alarmsContract({ store, reopen }: Opened): void {
  const event = (atMs: number, transition: 'raised' | 'returned' = 'raised') =>
    store().alarms.addEvent({ alarmId: fresh.id, transition, atMs, note: null });

  test('an alarm saved twice is there once, as it was the 2nd time, conditions and all', () => {
    settle(store());
    store().alarms.save(fresh);
    store().alarms.save(raised);
    expect(reopen().alarms.all()).toEqual([raised]);
  });

  test('3 events come newest first, and the span from 10 to 30 ms holds its start and not its end', () => {
    settle(store());
    store().alarms.save(fresh);
    const ids = [event(10), event(20, 'returned'), event(30)];
    expect(ids.toSorted((a, b) => a - b)).toEqual(ids);
    expect(
      store()
        .alarms.events(fresh.id)
        .map(({ atMs }) => atMs),
    ).toEqual([30, 20, 10]);
    expect(store().alarms.idsWithEvents({ fromMs: 30, toMs: 31 })).toEqual([fresh.id]);
    expect(store().alarms.idsWithEvents({ fromMs: 11, toMs: 20 })).toEqual([]);
    expect(store().alarms.idsWithEvents({ fromMs: 10, toMs: 31 })).toEqual([fresh.id]);
  });

  test('of 5 events of a place 2 come at a time, oldest first; those of another place and after the span do not', () => {
    settle(store());
    const [bench1] = store().places.all();
    if (bench1) store().places.add({ ...bench1, id: 'bench-2' });
    const other = newAlarm({ placeId: 'bench-2', rule: 'no-data' });
    for (const alarm of [fresh, other]) store().alarms.save(alarm);
    const ids = [1, 2, 3, 4, 5].map((atMs) => event(atMs));
    store().alarms.addEvent({ alarmId: other.id, transition: 'raised', atMs: 2, note: null });
    const page = (afterId: number) =>
      store()
        .alarms.eventsOfPlace({ placeId: 'bench-1', fromMs: 1, toMs: 5, afterId, limit: 2 })
        .map(({ id, atMs }) => [id, atMs]);
    expect(page(0)).toEqual([
      [ids[0], 1],
      [ids[1], 2],
    ]);
    expect(page(ids[1] ?? 0)).toEqual([
      [ids[2], 3],
      [ids[3], 4],
    ]);
    expect(page(ids[3] ?? 0)).toEqual([]);
  });

  test('an event of an alarm that was never saved is refused', () => {
    expect(() => event(10)).toThrow(/FOREIGN KEY/);
  });
}

const OUTGOING = { wayId: 0, alarmId: null, recipient: 'the webhook of the house', kind: 'alarm.raised' };

/**
 * What a store promises about messages on their way to people.
 *
 * @param opened the store
 */
export function outboxContract({ store, reopen }: Opened): void {
  const put = (key: string, createdMs = 0) =>
    store().outbox.put({ ...OUTGOING, key, body: `{"${key}":1}`, createdMs });

  test('a message waits from its making on, oldest first, up to 2 at once', () => {
    for (const [key, createdMs] of [
      ['a', 5],
      ['b', 6],
      ['c', 7],
    ] as const)
      put(key, createdMs);
    const due = (nowMs: number) =>
      reopen()
        .outbox.due({ nowMs, limit: 2 })
        .map(({ key }) => key);
    expect([due(4), due(5), due(7)]).toEqual([[], ['a'], ['a', 'b']]);
    expect(store().outbox.nextDueMs()).toBe(5);
    expect(store().outbox.waiting()).toEqual({ count: 3, lastError: null });
  });

  test('1 key can be put once', () => {
    put('a');
    expect(() => put('a')).toThrow(/UNIQUE/);
  });

  test('failed, it waits until its next time with its error; sent or abandoned, it waits no more', () => {
    for (const key of ['a', 'b', 'c']) put(key);
    const [a, b, c] = store()
      .outbox.due({ nowMs: 0, limit: 9 })
      .map(({ id }) => id);
    store().outbox.failed({ id: a ?? 0, nextAtMs: 50, error: 'no answer' });
    store().outbox.sent(b ?? 0, 60);
    store().outbox.abandon(c ?? 0, 'no use');
    expect(reopen().outbox.due({ nowMs: 49, limit: 9 })).toEqual([]);
    expect(store().outbox.due({ nowMs: 50, limit: 9 })).toMatchObject([
      { key: 'a', attempts: 1, nextAtMs: 50, lastError: 'no answer', body: '{"a":1}' },
    ]);
    expect(store().outbox.waiting()).toEqual({ count: 1, lastError: 'no answer' });
    store().outbox.sent(a ?? 0, 70);
    expect(store().outbox.nextDueMs()).toBeNull();
  });
}
