import { describe, expect, test } from 'vitest';
import { alarmWords } from '../../../../../shared/words/alarm.ts';
import { clockByHand } from '../../support/hand.ts';
import { START_MS, startHouse } from '../../support/house.ts';
import { GOOD, ruledHouse, type Values } from '../../support/ruled.ts';

/**
 * A limit that is not asked any more is no recovery: an alarm clears by a measurement that satisfies its limit alone. The
 * sheet as in alarm-rules.test.ts; the house's clock begins at 10:00 UTC, night is from 20:00 to 06:00.
 */
const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const LAMP: Values = { 'light/ppfd': 100 };
const DARK: Values = { 'light/ppfd': 0 };
/** [HW83] at 26 °C: 3.363 kPa, so 70 %RH leaves 1.009 kPa, twice the 0.5 kPa of the band */
const DRY: Values = { 'air/temperature': 26, 'air/humidity': 70, 'root/temperature': 23.5 };

type Ruled = ReturnType<typeof ruledHouse>;

const transitions = ({ house }: Ruled, rule: string) =>
  house.daemon.queries
    .alarmEvents(`bench-1.${rule}`)
    .map(({ transition }) => transition)
    .toReversed();

function words({ house, alarm }: Ruled, rule: string) {
  const found = alarm(rule);
  if (!found) throw new Error(`no alarm ${rule}`);
  return alarmWords(found, { unit: 'C', timeZone: 'UTC', nowMs: house.hand.clock.nowMs() });
}

describe('air at 4 °C by night', () => {
  test('is the same alarm by day, in one message, and clears once it is measured in its band', async () => {
    const ruled = ruledHouse({ hand: clockByHand(START_MS - 5 * HOUR_MS) });
    await ruled.hold({ ...GOOD, 'air/temperature': 15 }, MINUTE_MS);
    const cold = { ...GOOD, 'air/temperature': 12 };
    // until 10:31: the delay of the day is four hours
    await ruled.hold(cold, 5.5 * HOUR_MS);
    expect(ruled.alarm('air-below-band-at-night')).toMatchObject({
      ...{ state: 'unacknowledged', suppression: 'none' },
      facts: { limit: 21.1, value: 12 },
    });
    expect(transitions(ruled, 'air-below-band-at-night')).toEqual(['raised']);
    expect(ruled.alarm('air-below-band-by-day')).toMatchObject({
      suppressedReason: 'it follows from bench-1.air-below-band-at-night',
    });
    await ruled.hold(GOOD, 3 * MINUTE_MS);
    expect(transitions(ruled, 'air-below-band-at-night')).toEqual(['raised', 'returned']);
    expect(words(ruled, 'air-below-band-at-night').headline).toBe('bench-1: air is back in its band.');
  });
});

describe('air that is too dry as the light goes', () => {
  test('is not judged and has not recovered; it goes on with the first dry reading in light', async () => {
    const ruled = ruledHouse();
    await ruled.hold({ ...DRY, ...LAMP }, MINUTE_MS);
    ruled.answered();
    await ruled.hold({ ...DRY, ...LAMP }, 19 * MINUTE_MS);
    expect(ruled.deviation()).toEqual(['vpd-above-band-in-light']);
    await ruled.hold({ ...DRY, ...DARK }, HOUR_MS);
    expect(ruled.alarm('vpd-above-band-in-light')).toMatchObject({
      ...{ state: 'unacknowledged', suppression: 'by-design' },
      suppressedReason: 'not judged in the dark; it had not recovered',
    });
    expect(words(ruled, 'vpd-above-band-in-light').headline).toBe(
      'bench-1: air VPD not judged in the dark since 10:20; it had not recovered.',
    );
    expect(transitions(ruled, 'vpd-above-band-in-light')).toEqual(['raised', 'suppressed']);
    await ruled.hold({ ...DRY, ...LAMP }, MINUTE_MS);
    expect(ruled.alarm('vpd-above-band-in-light')).toMatchObject({
      ...{ state: 'unacknowledged', suppression: 'none' },
    });
    // once it is judged again, an hour and a half of dry air by day is worth a call
    const calls = ['raised', 'suppressed', 'unsuppressed', 'priority-raised'];
    expect(transitions(ruled, 'vpd-above-band-in-light')).toEqual(calls);
  });

  test('clears by the readings of the next light that are damp enough, and not before', async () => {
    const ruled = ruledHouse();
    await ruled.hold({ ...DRY, ...LAMP }, MINUTE_MS);
    ruled.answered();
    await ruled.hold({ ...DRY, ...LAMP }, 19 * MINUTE_MS);
    await ruled.hold({ ...GOOD, ...DARK }, HOUR_MS);
    expect(transitions(ruled, 'vpd-above-band-in-light')).not.toContain('returned');
    await ruled.hold({ ...GOOD, ...LAMP }, 3 * MINUTE_MS);
    expect(transitions(ruled, 'vpd-above-band-in-light').at(-1)).toBe('returned');
  });

  test('says that it had not recovered after a restart too, and asks nobody again meanwhile', async () => {
    const ruled = ruledHouse();
    const { store, hand, keep } = ruled.house;
    await ruled.hold({ ...DRY, ...LAMP }, MINUTE_MS);
    ruled.answered();
    await ruled.hold({ ...DRY, ...LAMP }, 19 * MINUTE_MS);
    ruled.house.daemon.orders.acknowledge('bench-1.vpd-above-band-in-light', { by: 'keeper' });
    await ruled.hold({ ...DRY, ...DARK }, MINUTE_MS);
    const again = startHouse({ store, hand, keep });
    for (let minute = 0; minute < 120; minute++) {
      hand.pass(MINUTE_MS);
      await again.report([{ n: 'light/ppfd', u: 'umol/m2/s', v: 0 }]);
    }
    const alarm = again.daemon.queries.alarms().find(({ rule }) => rule === 'vpd-above-band-in-light');
    expect(alarm).toMatchObject({ state: 'acknowledged', notJudged: { why: 'not judged in the dark' } });
  });

  test('shelved or out of service over the dark is as active afterwards', async () => {
    const ruled = ruledHouse();
    const { orders } = ruled.house.daemon;
    const id = 'bench-1.vpd-above-band-in-light';
    await ruled.hold({ ...DRY, ...LAMP }, MINUTE_MS);
    ruled.answered();
    await ruled.hold({ ...DRY, ...LAMP }, 19 * MINUTE_MS);
    orders.shelve(id, { minutes: 30, reason: 'lunch' });
    await ruled.hold({ ...DRY, ...DARK }, HOUR_MS);
    orders.takeOutOfService(id, { reason: 'new mist line' });
    await ruled.hold({ ...GOOD, ...DARK }, HOUR_MS);
    orders.putInService(id);
    await ruled.hold({ ...DRY, ...LAMP }, MINUTE_MS);
    expect(ruled.alarm('vpd-above-band-in-light')).toMatchObject({
      state: 'unacknowledged',
      suppression: 'none',
    });
    expect(transitions(ruled, 'vpd-above-band-in-light')).not.toContain('returned');
  });
});

describe('air that is too dry by two probes of which one stops reporting', () => {
  test('has not recovered because the other, at 92 %RH, looks well; live and in a trial', async () => {
    const ruled = ruledHouse();
    const { house, hold } = ruled;
    // together 66 %RH, which is too dry at 22 °C: [HW83] 2.645 kPa leave 0.9 kPa
    const both = { ...GOOD, ...LAMP, 'air/humidity': 40, 'air/humidity/2': 92 };
    await hold(both, 30 * MINUTE_MS);
    expect(ruled.deviation()).toEqual(['vpd-above-band-in-light']);
    const { 'air/humidity': _, ...well } = both;
    await hold(well, 2 * HOUR_MS);
    expect(ruled.alarm('vpd-above-band-in-light')?.state).toBe('unacknowledged');
    const toMs = house.hand.clock.nowMs();
    const span = { fromMs: house.daemon.queries.recordStartMs('bench-1') ?? 0, toMs };
    const tried = { rule: 'vpd-above-band-in-light', span, trial: {} } as const;
    const { alarms } = house.daemon.queries.tryOnPast('bench-1', tried);
    expect(alarms).toMatchObject([{ returned: null }]);
    await hold({ ...well, 'air/humidity': 92 }, 3 * MINUTE_MS);
    expect(transitions(ruled, 'vpd-above-band-in-light').at(-1)).toBe('returned');
  });
});

describe('air that was too dry by a probe that stopped reporting, and then dark', () => {
  test('has not recovered in the next light because the other probe looks well; live and in a trial', async () => {
    const ruled = ruledHouse();
    const { house, hold, answered } = ruled;
    const both = { ...GOOD, ...LAMP, 'air/humidity': 40, 'air/humidity/2': 92 };
    await hold(both, MINUTE_MS);
    answered();
    await hold(both, 29 * MINUTE_MS);
    expect(ruled.deviation()).toEqual(['vpd-above-band-in-light']);
    const { 'air/humidity': _, ...well } = both;
    await hold({ ...well, ...DARK }, HOUR_MS);
    await hold(well, 30 * MINUTE_MS);
    expect(transitions(ruled, 'vpd-above-band-in-light')).not.toContain('returned');
    const span = {
      fromMs: house.daemon.queries.recordStartMs('bench-1') ?? 0,
      toMs: house.hand.clock.nowMs(),
    };
    const tried = { rule: 'vpd-above-band-in-light', span, trial: {} } as const;
    expect(house.daemon.queries.tryOnPast('bench-1', tried).alarms).toMatchObject([{ returned: null }]);
    await hold({ ...well, 'air/humidity': 92 }, 3 * MINUTE_MS);
    expect(transitions(ruled, 'vpd-above-band-in-light').at(-1)).toBe('returned');
  });
});

describe('air at 15 °C while its band comes down from 21.1 to 13 °C at dusk', () => {
  test('is within its limit, and is not called back in its band, as it did not warm', async () => {
    const ruled = ruledHouse({ hand: clockByHand(START_MS + 5 * HOUR_MS) });
    await ruled.hold({ ...GOOD, 'air/temperature': 15 }, 6.5 * HOUR_MS);
    expect(transitions(ruled, 'air-below-band-by-day')).toEqual(['raised', 'returned']);
    // from 21.1 to 13 °C in 90 min: half a kelvin below 15 °C after 73.3 min, and a minute more
    expect(words(ruled, 'air-below-band-by-day').headline).toMatch(
      /^bench-1: air 15.0 °C, within its limit, which is 14.[345] °C now.$/,
    );
  });
});

describe('a mist line that is dead as the light goes', () => {
  test('is dead in the next light without a new delay, until a pulse comes', async () => {
    const ruled = ruledHouse();
    const { house, hold, alarm } = ruled;
    const valve = async (on: boolean) => house.report([{ n: 'mist/valve', vb: on }]);
    const pulses = async (times: number) => {
      for (let k = 0; k < times; k++) {
        await valve(true);
        house.hand.pass(5_000);
        await valve(false);
        await hold({ ...GOOD, ...LAMP }, 10 * MINUTE_MS);
      }
    };
    const shut = async (told: Values, minutes: number) => {
      for (let k = 0; k < minutes; k++) {
        await valve(false);
        await hold({ ...GOOD, ...told }, MINUTE_MS);
      }
    };
    await pulses(1);
    ruled.answered();
    await pulses(11);
    await shut(LAMP, 45);
    expect(alarm('no-mist-in-light')).toMatchObject({ state: 'unacknowledged', suppression: 'none' });
    await shut(DARK, 60);
    expect(alarm('no-mist-in-light')).toMatchObject({
      ...{ state: 'unacknowledged', suppression: 'by-design' },
      suppressedReason: 'not judged in the dark; it had not recovered',
    });
    await shut(LAMP, 7);
    expect(alarm('no-mist-in-light')).toMatchObject({ state: 'unacknowledged', suppression: 'none' });
    expect(transitions(ruled, 'no-mist-in-light')).not.toContain('returned');
    await pulses(2);
    expect(transitions(ruled, 'no-mist-in-light').at(-1)).toBe('returned');
  });
});

describe('air of 28 °C over a ceiling of 26.7 °C', () => {
  test('that is moved to 30 °C is within it, and is not called back below it', async () => {
    const ruled = ruledHouse();
    const { daemon } = ruled.house;
    await ruled.hold({ ...GOOD, 'air/temperature': 28 }, 5 * MINUTE_MS);
    const targets = daemon.queries.targets('bench-1');
    const air = { ...targets.air, ceilingC: 30 };
    daemon.orders.setTargets('bench-1', { targets: { ...targets, air }, fromMs: null });
    expect(ruled.alarm('air-over-ceiling')?.state).toBe('unacknowledged');
    await ruled.hold({ ...GOOD, 'air/temperature': 28 }, 3 * MINUTE_MS);
    expect(ruled.alarm('air-over-ceiling')?.state).toBe('returned-unacknowledged');
    expect(words(ruled, 'air-over-ceiling').headline).toBe(
      'bench-1: air 28.0 °C, within its limit, which is 30.0 °C now.',
    );
  });

  test('by a probe that is corrected by −2 K is within it because of that', async () => {
    const ruled = ruledHouse();
    const { daemon } = ruled.house;
    await ruled.hold({ ...GOOD, 'air/temperature': 28 }, 5 * MINUTE_MS);
    const probeId = daemon.world.probeNamed({ device: 'bench-1', name: 'air/temperature' })?.id ?? 0;
    const order = { gain: 1, offset: -2, fromMs: null, reason: 'against ice', checkId: null };
    daemon.checks.correct(probeId, order);
    ruled.house.hand.pass(2_000);
    expect(ruled.alarm('air-over-ceiling')).toMatchObject({
      state: 'unacknowledged',
      suppressedReason: 'not judged since its probe was corrected; it had not recovered',
    });
    await ruled.hold({ ...GOOD, 'air/temperature': 28 }, 3 * MINUTE_MS);
    expect(words(ruled, 'air-over-ceiling').headline).toBe(
      'bench-1: air 26.0 °C now that its probe is corrected, within its limit of 26.7 °C.',
    );
  });

  test('whose rule is switched off ends as not judged, and nobody is notified that it is over', async () => {
    const ruled = ruledHouse();
    const { orders } = ruled.house.daemon;
    await ruled.hold({ ...GOOD, 'air/temperature': 28 }, 5 * MINUTE_MS);
    orders.patchPlace('bench-1', { settings: { alarms: { 'air-over-ceiling': { on: false } } } });
    await ruled.hold({ ...GOOD, 'air/temperature': 28 }, MINUTE_MS);
    expect(ruled.alarm('air-over-ceiling')?.state).toBe('normal');
    expect(transitions(ruled, 'air-over-ceiling')).toEqual(['raised', 'not-judged']);
  });

  test('by a probe that is taken out while another reads 22 °C ends as not judged', async () => {
    const ruled = ruledHouse();
    const { daemon } = ruled.house;
    await ruled.hold({ ...GOOD, 'air/temperature': 28, 'air/temperature/2': 22 }, 5 * MINUTE_MS);
    const probeId = daemon.world.probeNamed({ device: 'bench-1', name: 'air/temperature' })?.id ?? 0;
    daemon.archive.archive({ kind: 'probe', probeId });
    await ruled.hold({ 'air/temperature/2': 22 }, 5 * MINUTE_MS);
    expect(transitions(ruled, 'air-over-ceiling')).toEqual(['raised', 'not-judged']);
  });
});
