import { describe, expect, test } from 'vitest';
import { GOOD, ruledHouse, type Values } from '../../support/ruled.ts';

/** Each probe of a place is watched: what is blind without it, and whether that can wait. Day from 06:00; it is 10:00. */
const MINUTE_MS = 60_000;
const LAMP: Values = { 'light/ppfd': 100 };

type Ruled = ReturnType<typeof ruledHouse>;

async function watched(values: Values = { ...GOOD, ...LAMP }): Promise<Ruled> {
  const ruled = ruledHouse();
  await ruled.hold(values, 12 * MINUTE_MS);
  ruled.answered();
  return ruled;
}

const without = (values: Values, name: string): Values =>
  Object.fromEntries(Object.entries(values).filter(([key]) => key !== name));

const silent = ({ alarm }: Ruled) => alarm('probe-silent');
const stateOf = ({ house }: Ruled) => house.daemon.queries.now('bench-1').state;

describe('a probe that stops while its place goes on', () => {
  test('is named with the rules that are blind without it; humidity can wait, and its place is watched', async () => {
    const ruled = await watched();
    await ruled.hold(without({ ...GOOD, ...LAMP }, 'air/humidity'), 7 * MINUTE_MS);
    expect(silent(ruled)).toMatchObject({
      ...{ state: 'unacknowledged', priority: 'medium' },
      facts: { silent: [{ probe: 'air/humidity' }], matters: null },
    });
    expect(silent(ruled)?.facts).toHaveProperty('blind', expect.arrayContaining(['vpd-above-band-in-light']));
    expect(stateOf(ruled)).toBe('watch');
    await ruled.hold({ ...GOOD, ...LAMP }, MINUTE_MS);
    expect(silent(ruled)?.state).toBe('returned-unacknowledged');
  });

  test('and alone measures the heat is of high priority, and somebody must act', async () => {
    const ruled = await watched();
    await ruled.hold(without({ ...GOOD, ...LAMP }, 'air/temperature'), 7 * MINUTE_MS);
    expect(silent(ruled)).toMatchObject({ priority: 'high', facts: { matters: 'heat' } });
    expect(stateOf(ruled)).toBe('act');
  });

  test('and read 25 °C under a ceiling of 26.7 is of high priority although another reads on', async () => {
    const both = { ...GOOD, ...LAMP, 'air/temperature': 25, 'air/temperature/2': 22 };
    const ruled = await watched(both);
    await ruled.hold(without(both, 'air/temperature'), 7 * MINUTE_MS);
    expect(silent(ruled)).toMatchObject({ priority: 'high', facts: { matters: 'near-ceiling' } });
  });

  test('and read 22 °C beside another that reads on blinds nothing: low, for the morning', async () => {
    const both = { ...GOOD, ...LAMP, 'air/temperature/2': 22 };
    const ruled = await watched(both);
    await ruled.hold(without(both, 'air/temperature'), 7 * MINUTE_MS);
    expect(silent(ruled)).toMatchObject({ priority: 'low', facts: { blind: [], matters: null } });
  });

  test('is as its place sets its priority', async () => {
    const ruled = await watched();
    const alarms = { 'probe-silent': { priority: 'low' } } as const;
    ruled.house.daemon.orders.patchPlace('bench-1', { settings: { alarms } });
    await ruled.hold(without({ ...GOOD, ...LAMP }, 'air/temperature'), 7 * MINUTE_MS);
    expect(silent(ruled)).toMatchObject({ priority: 'low' });
  });

  test('is as its target sheet says, where its place says nothing', async () => {
    const ruled = await watched();
    const { queries, orders } = ruled.house.daemon;
    const alarms = { priority: { 'probe-silent': 'low' } } as const;
    orders.setTargets('bench-1', { targets: { ...queries.targets('bench-1'), alarms }, fromMs: null });
    await ruled.hold(without({ ...GOOD, ...LAMP }, 'air/temperature'), 7 * MINUTE_MS);
    expect(silent(ruled)).toMatchObject({ priority: 'low' });
  });

  test('raises nothing where its rule is switched off', async () => {
    const ruled = await watched();
    ruled.house.daemon.orders.patchPlace('bench-1', {
      settings: { alarms: { 'probe-silent': { on: false } } },
    });
    await ruled.hold(without({ ...GOOD, ...LAMP }, 'air/humidity'), 20 * MINUTE_MS);
    expect(silent(ruled)).toBeUndefined();
  });
});

describe('a mist valve', () => {
  const valve = ({ house }: Ruled, on: boolean) => house.report([{ n: 'mist/valve', vb: on }]);
  /** pulses every ten minutes; the valve reports its state in between as well */
  async function misted(ruled: Ruled, pulses: number, light: Values): Promise<void> {
    for (let k = 0; k < pulses; k++) {
      await valve(ruled, true);
      ruled.house.hand.pass(5_000);
      for (let minute = 0; minute < 10; minute++) {
        await valve(ruled, false);
        await ruled.hold({ ...GOOD, ...light }, MINUTE_MS);
      }
    }
  }

  test('that stops reporting in light is of high priority: mist cannot be judged, and the page says so', async () => {
    const ruled = await watched();
    await misted(ruled, 8, LAMP);
    await ruled.hold({ ...GOOD, ...LAMP }, 8 * MINUTE_MS);
    expect(silent(ruled)).toMatchObject({
      priority: 'high',
      facts: { silent: [{ probe: 'mist/valve' }], matters: 'mist' },
    });
    const now = ruled.house.daemon.queries.now('bench-1');
    expect(now).toMatchObject({ state: 'act', blindTo: ['mist'] });
  });

  test('that stops reporting in the dark is not missed until there is light, and then within minutes', async () => {
    const dark = { 'light/ppfd': 0 };
    const ruled = await watched({ ...GOOD, ...dark });
    await misted(ruled, 3, dark);
    await ruled.hold({ ...GOOD, ...dark }, 60 * MINUTE_MS);
    expect(silent(ruled)).toBeUndefined();
    await ruled.hold({ ...GOOD, ...LAMP }, 4 * MINUTE_MS);
    expect(silent(ruled)).toBeUndefined();
    await ruled.hold({ ...GOOD, ...LAMP }, 4 * MINUTE_MS);
    expect(silent(ruled)).toMatchObject({ priority: 'high' });
    // as the light goes again it has not reported yet
    await ruled.hold({ ...GOOD, ...dark }, 20 * MINUTE_MS);
    expect(silent(ruled)?.state).toBe('unacknowledged');
  });
});

test('a whole place that stops reporting is of high priority, quiet hours or not', async () => {
  const ruled = await watched();
  ruled.house.hand.pass(7 * MINUTE_MS);
  expect(ruled.alarm('no-data')).toMatchObject({ priority: 'high', state: 'unacknowledged' });
  expect(silent(ruled)).toBeUndefined();
  expect(stateOf(ruled)).toBe('act');
});

test('a probe that stops while another place stops reporting has its own message', async () => {
  const ruled = await watched();
  const { house, hold } = ruled;
  const other = [2, 1, 0].map((minutes) => ({ n: 'air/temperature', u: 'Cel', v: 23, t: -60 * minutes }));
  await house.report(other, 'bench-2');
  await hold(without({ ...GOOD, ...LAMP }, 'air/humidity'), 7 * MINUTE_MS);
  expect(house.daemon.queries.alarms().map(({ id }) => id)).toContain('bench-2.no-data');
  expect(silent(ruled)).toMatchObject({ state: 'unacknowledged', suppression: 'none' });
});
