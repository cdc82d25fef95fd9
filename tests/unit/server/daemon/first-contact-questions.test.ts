import { describe, expect, test } from 'vitest';
import { startHouse, TARGET_SHEET_FILE } from '../support/house.ts';
import { GOOD, recordsOf, ruledHouse } from '../support/ruled.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;

/** Messages a house handed over, by their event. */
function counting() {
  const types: string[] = [];
  const send = (_method: unknown, message: { readonly body: string }) => {
    types.push(JSON.parse(message.body).type);
    return Promise.resolve({ delivered: true } as const);
  };
  return { types, carrier: { send } as never };
}

async function placeAt(reported: Record<string, number>) {
  const { types, carrier } = counting();
  const house = startHouse({ carrier });
  const hold = async (minutes: number, values = reported) => {
    for (let minute = 0; minute < minutes; minute++) {
      await house.report(recordsOf(values));
      house.hand.pass(MINUTE_MS);
      await Promise.resolve();
    }
  };
  return { house, types, hold };
}

const COLD_ROOT = { ...GOOD, 'root/temperature': 17 };
const settingsOf = (house: Awaited<ReturnType<typeof placeAt>>['house']) =>
  house.daemon.queries.place('bench-1').settings;

describe('a place that made itself', () => {
  test('asks its three questions, and follows the sheet of the contract until they are answered', async () => {
    const { house, hold } = await placeAt(GOOD);
    await hold(1);
    expect(settingsOf(house)).toMatchObject({ questionsOpen: true, mat: null, roots: null });
    expect(house.daemon.queries.targets('bench-1')).toEqual(TARGET_SHEET_FILE.targets);
  });

  test('calls nobody about a cold root zone until it is answered that a mat lies there; then at once', async () => {
    const { house, types, hold } = await placeAt(COLD_ROOT);
    await hold(150);
    const alarm = () => house.daemon.queries.alarms().find(({ rule }) => rule === 'root-below-band');
    expect(alarm()).toMatchObject({ state: 'unacknowledged', suppression: 'by-design' });
    expect(types).toEqual([]);
    house.daemon.orders.setUp('bench-1', { kind: 'bench', mat: true, roots: 'herbaceous' });
    await hold(1);
    expect(alarm()).toMatchObject({ state: 'unacknowledged', suppression: 'none' });
    expect(types).toHaveLength(1);
  });

  test('without a mat nothing is asked of the root zone, live or in a trial', async () => {
    const { house, types, hold } = await placeAt(COLD_ROOT);
    await hold(1);
    house.daemon.orders.setUp('bench-1', { kind: 'dome', mat: false, roots: 'herbaceous' });
    await hold(200);
    expect(types).toEqual([]);
    expect(house.daemon.queries.alarms().some(({ rule }) => rule === 'root-below-band')).toBe(false);
    // by hand: the medium may be as cool as the air of its nights
    expect(house.daemon.queries.targets('bench-1').rootZone.day).toEqual({ lowC: 13, highC: 26.7 });
  });

  test('calls about heat at once, answered or not, and about a root zone that is too hot', async () => {
    const { types, hold } = await placeAt({ ...GOOD, 'air/temperature': 33, 'root/temperature': 33 });
    await hold(6);
    expect(types.filter((type) => type === 'alarm.raised')).toHaveLength(2);
  });

  test('bands set by hand answer it, and so does keeping those it has', async () => {
    const { house, hold } = await placeAt(GOOD);
    await hold(1);
    house.daemon.orders.setTargets('bench-1', { targets: TARGET_SHEET_FILE.targets, fromMs: null });
    expect(settingsOf(house).questionsOpen).toBe(false);
    const other = await placeAt(GOOD);
    await other.hold(1);
    other.house.daemon.orders.patchPlace('bench-1', { settings: { questionsOpen: false } });
    expect(settingsOf(other.house).questionsOpen).toBe(false);
  });

  test('a mist bench with a mat for soft tips keeps the general sheet; cacti ask for air up to 30 °C and 3 kPa', async () => {
    const { house, hold } = await placeAt(GOOD);
    await hold(1);
    house.daemon.orders.setUp('bench-1', { kind: 'bench', mat: true, roots: 'herbaceous' });
    expect(house.daemon.queries.targets('bench-1')).toEqual(TARGET_SHEET_FILE.targets);
    house.daemon.orders.setUp('bench-1', { kind: 'frame', mat: true, roots: 'succulent' });
    expect(house.daemon.queries.targets('bench-1')).toMatchObject({
      ...{ air: { day: { lowC: 18, highC: 30 } }, vpd: { lowKpa: 0.3, highKpa: 3 } },
    });
    expect(house.daemon.queries.place('bench-1').kind).toBe('frame');
  });
});

describe('an alarm of medium priority that somebody acknowledged', () => {
  test('is not repeated while it does not get worse, and is once the root zone has cooled by half a degree more', async () => {
    const ruled = ruledHouse();
    const { house, hold, alarm } = ruled;
    await hold(GOOD, MINUTE_MS);
    house.daemon.orders.setTargets('bench-1', { targets: TARGET_SHEET_FILE.targets, fromMs: null });
    await hold({ ...GOOD, 'root/temperature': 19 }, 3 * HOUR_MS);
    house.daemon.orders.acknowledge('bench-1.root-below-band');
    await hold({ ...GOOD, 'root/temperature': 19 }, 5 * HOUR_MS);
    expect(alarm('root-below-band')?.state).toBe('acknowledged');
    await hold({ ...GOOD, 'root/temperature': 18.5 }, 2 * MINUTE_MS);
    expect(alarm('root-below-band')?.state).toBe('unacknowledged');
  });

  test('one of high priority is repeated after 15 min as ever', async () => {
    const ruled = ruledHouse();
    const { house, hold, alarm } = ruled;
    await hold({ ...GOOD, 'air/temperature': 28 }, 5 * MINUTE_MS);
    house.daemon.orders.acknowledge('bench-1.air-over-ceiling');
    await hold({ ...GOOD, 'air/temperature': 28 }, 14 * MINUTE_MS);
    expect(alarm('air-over-ceiling')?.state).toBe('acknowledged');
    await hold({ ...GOOD, 'air/temperature': 28 }, 3 * MINUTE_MS);
    expect(alarm('air-over-ceiling')?.state).toBe('unacknowledged');
  });
});

describe('a dome whose cover is opened in light', () => {
  const DAMP = { 'air/temperature': 22, 'air/humidity': 98, 'light/ppfd': 150 };
  const DRY = { ...DAMP, 'air/humidity': 45 };

  test('is not too dry while it is open, as its alarm says; after 2 h it was forgotten, and calls', async () => {
    const { house, types, hold } = await placeAt(DAMP);
    await hold(60);
    house.daemon.orders.setUp('bench-1', { kind: 'dome', mat: false, roots: 'herbaceous' });
    await hold(60, DRY);
    const dry = () => house.daemon.queries.alarms().find(({ rule }) => rule === 'vpd-above-band-in-light');
    expect(dry()).toMatchObject({
      ...{ state: 'unacknowledged', suppression: 'by-design' },
      suppressedReason: 'the cover was opened, so dry air is meant until it is shut',
    });
    expect(types).toEqual([]);
    await hold(75, DRY);
    expect(types).toContain('alarm.unsuppressed');
  });

  test('that dries slowly, by a leak, is called as ever', async () => {
    const { house, types, hold } = await placeAt(DAMP);
    await hold(30);
    house.daemon.orders.setUp('bench-1', { kind: 'dome', mat: false, roots: 'herbaceous' });
    for (let step = 0; step < 120; step++) await hold(1, { ...DAMP, 'air/humidity': 98 - step * 0.4 });
    expect(types).toContain('alarm.raised');
  });
});
