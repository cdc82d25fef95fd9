import { describe, expect, test } from 'vitest';
import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import type { Carrier } from '../../../../server/ports.ts';
import { DEFAULT_PLACE_SETTINGS } from '../../../../shared/model/place.ts';
import { clockByHand } from '../support/hand.ts';
import {
  airRecord,
  databaseFile,
  keepInMemory,
  START_MS,
  startHouse,
  TARGET_SHEET_FILE,
} from '../support/house.ts';

const MINUTE_MS = 60_000;
const DAY_MS = 24 * 60 * MINUTE_MS;

/** A house with the webhook of the settings, Robin by mail, and places of which some are demo places. */
function houseWith(places: Readonly<Record<string, boolean>>) {
  const hand = clockByHand(START_MS);
  const store = openStore({ file: databaseFile(), nowMs: START_MS });
  const keep = keepInMemory();
  for (const [id, invented] of Object.entries(places)) {
    store.places.add({ id, name: id, kind: 'bench', invented, settings: DEFAULT_PLACE_SETTINGS });
    store.places.addTargets(id, { fromMs: 0, enteredMs: 0, targets: TARGET_SHEET_FILE.targets });
  }
  const said: string[] = [];
  const carrier: Carrier = {
    async send({ kind }, { body }) {
      const { type, data } = JSON.parse(body);
      said.push(`${kind} ${type} ${data.alarm?.id ?? ''}`.trim());
      return { delivered: true };
    },
  };
  const start = () => startHouse({ store, hand, keep, carrier });
  const house = start();
  const { id } = house.daemon.people.add({ name: 'Robin', quiet: null });
  house.daemon.people.addContactMethod(id, { kind: 'mail', address: 'robin@bench.example' });
  const pass = async (of: typeof house, minutes: number) => {
    for (let minute = 0; minute < minutes; minute++) {
      for (const place of Object.keys(places)) await of.report([airRecord(30)], place);
      hand.pass(MINUTE_MS);
      await new Promise<void>((resolve) => setImmediate(resolve));
    }
  };
  return { house, hand, store, said, start, pass, robinId: id };
}

const alarmsOf = ({ daemon }: ReturnType<typeof startHouse>) =>
  daemon.queries.alarms().map(({ id, state }) => `${id} ${state}`);

describe('a simulated place over its ceiling for 7 min', () => {
  test('is on the page and calls nobody, while a real one beside it calls Robin twice and the webhook once', async () => {
    const { house, store, said, pass } = houseWith({ invented: true, real: false });
    await pass(house, 7);
    expect(alarmsOf(house).toSorted()).toEqual([
      'invented.air-over-ceiling unacknowledged',
      'real.air-over-ceiling unacknowledged',
    ]);
    expect(said.toSorted()).toEqual([
      'mail alarm.raised real.air-over-ceiling',
      'mail alarm.repeated real.air-over-ceiling',
      'webhook alarm.raised real.air-over-ceiling',
    ]);
    expect(store.outbox.ofAlarm('invented.air-over-ceiling', 9)).toEqual([]);
    const published = new Map(house.published.map(({ topic, payload }) => [topic, payload]));
    expect(published.get('strikewell/1/alarms/invented.air-over-ceiling') ?? '').toBe('');
    expect(published.get('strikewell/1/alarms/real.air-over-ceiling')).toContain('unacknowledged');
  });

  test('is called about by nobody on the morning sheet of the next day, nor when the machine was off, alone in the house', async () => {
    const { house, hand, said, start, pass } = houseWith({ invented: true });
    await pass(house, 7);
    house.daemon.orders.acknowledge('invented.air-over-ceiling');
    house.daemon.stop();
    hand.pass(DAY_MS);
    const later = start();
    await pass(later, 3);
    expect(alarmsOf(later)).toContain('house.watch-was-down returned-unacknowledged');
    expect(said).toEqual([]);
  });

  test('does not keep a test from reaching Robin', async () => {
    const { house, said, pass, robinId } = houseWith({ invented: true });
    house.daemon.people.testNow({ personId: robinId, wayId: null });
    await pass(house, 1);
    expect(said).toEqual(['mail test']);
  });
});
