import { expect, test } from 'vitest';
import { openStore } from '../../../../../server/adapters/sqlite/store.ts';
import type { AlarmRecord } from '../../../../../server/domain/alarms/record.ts';
import { clockByHand } from '../../support/hand.ts';
import { databaseFile, START_MS, startHouse } from '../../support/house.ts';
import { GOOD, recordsOf } from '../../support/ruled.ts';

const MINUTE_MS = 60_000;

test('an alarm “no readings” that an earlier version raised for one probe ends once, as not judged, and nobody is told that it returned', async () => {
  const hand = clockByHand(START_MS);
  const store = openStore({ file: databaseFile(), nowMs: START_MS });
  const sent: string[] = [];
  const carrier = {
    send(_method: unknown, { body }: { readonly body: string }) {
      sent.push(JSON.parse(body).type);
      return Promise.resolve({ delivered: true } as const);
    },
  };
  const start = () => startHouse({ store, hand, carrier });
  let house = start();
  const { 'air/humidity': _, ...others } = GOOD;
  const report = async (values: Readonly<Record<string, number>>, minutes: number) => {
    for (let minute = 0; minute < minutes; minute += 1) {
      await house.report(recordsOf(values));
      hand.pass(MINUTE_MS);
    }
  };
  await report(GOOD, 12);
  house.daemon.stop();
  // as version 1 left it: the humidity probe of a place that goes on
  const lastMs = hand.clock.nowMs() - MINUTE_MS;
  const before = house.daemon.world.alarm({ placeId: 'bench-1', rule: 'no-data' });
  const old: AlarmRecord = {
    ...before,
    state: 'acknowledged',
    raisedAtMs: lastMs,
    acknowledgedAtMs: lastMs,
    facts: { kind: 'no-data', silent: [{ probe: 'air/humidity', lastMs }], wholePlace: false },
  };
  store.alarms.save(old);
  store.alarms.addEvent({ alarmId: old.id, transition: 'raised', atMs: lastMs, note: null });
  house = start();
  await report(others, 10);
  const transitions = () => store.alarms.events(old.id).map(({ transition }) => transition);
  expect(transitions()).toEqual(['not-judged', 'raised']);
  expect(house.daemon.world.alarm({ placeId: 'bench-1', rule: 'no-data' }).state).toBe('normal');
  // what is silent has an alarm of its own
  const own = () => house.daemon.queries.alarms().find(({ rule }) => rule === 'probe-silent');
  expect(own()).toMatchObject({ state: 'unacknowledged', facts: { silent: [{ probe: 'air/humidity' }] } });
  expect(sent).not.toContain('alarm.returned');
  house.daemon.stop();
  house = start();
  await report(others, 10);
  expect(transitions()).toEqual(['not-judged', 'raised']);
  expect(own()?.state).toBe('unacknowledged');
});
