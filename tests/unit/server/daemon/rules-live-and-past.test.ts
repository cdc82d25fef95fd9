import { describe, expect, test } from 'vitest';
import type { Targets } from '../../../../shared/model/targets.ts';
import { LIMIT_RULES, type LimitRule } from '../../../../shared/rules/rules.ts';
import { startHouse } from '../support/house.ts';
import { GOOD, recordsOf, ruledHouse, type Values } from '../support/ruled.ts';

/**
 * Every rule of a limit is raised and cleared in a live story, and in a trial on the same record, at the same instants. An
 * on-delay that runs out between two readings is seen by a timer live: one second is the tolerance.
 */
const SECOND_MS = 1_000;
const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;

type Ruled = ReturnType<typeof ruledHouse>;
type Story = {
  /** makes the place ready; the rule is switched on where it is off by default */
  readonly before?: (ruled: Ruled) => Promise<void>;
  readonly raise: (ruled: Ruled) => Promise<void>;
  readonly clear: (ruled: Ruled) => Promise<void>;
};

const held =
  (values: Values, lastsMs: number) =>
  ({ hold }: Ruled) =>
    hold({ ...GOOD, ...values }, lastsMs);

function setTargets({ house }: Ruled, change: (targets: Targets) => Targets): void {
  const targets = house.daemon.queries.targets('bench-1');
  house.daemon.orders.setTargets('bench-1', { targets: change(targets), fromMs: null });
}

const asked = (alarms: Targets['alarms']) => async (ruled: Ruled) => {
  await ruled.hold(GOOD, MINUTE_MS);
  setTargets(ruled, (targets) => ({ ...targets, alarms }));
};

const switchedOn = (rule: LimitRule) => async (ruled: Ruled) => {
  await ruled.hold(GOOD, MINUTE_MS);
  ruled.house.daemon.orders.patchPlace('bench-1', { settings: { alarms: { [rule]: { on: true } } } });
};

/** A pulse of 5 s by its valve. */
async function pulse({ house }: Ruled): Promise<void> {
  await house.report([{ n: 'mist/valve', vb: true }]);
  house.hand.pass(5 * SECOND_MS);
  await house.report([{ n: 'mist/valve', vb: false }]);
}

async function misted(ruled: Ruled, pulses: number): Promise<void> {
  for (let k = 0; k < pulses; k++) {
    await pulse(ruled);
    for (let minute = 0; minute < 10; minute++) {
      await ruled.house.report([{ n: 'mist/valve', vb: false }]);
      await ruled.hold({ ...GOOD, 'light/ppfd': 100 }, MINUTE_MS);
    }
  }
}

/** Pulses of the valve every ten minutes; with water humidity jumps to 92 % at each and falls to 86 %. */
async function watered(
  ruled: Ruled,
  of: { readonly pulses: number; readonly water: boolean },
): Promise<void> {
  for (let k = 0; k < of.pulses; k++) {
    await pulse(ruled);
    for (let minute = 0; minute < 10; minute++) {
      const humidity = of.water ? 92 - 0.7 * minute : 84;
      await ruled.house.report([{ n: 'mist/valve', vb: false }]);
      await ruled.hold({ ...GOOD, 'air/humidity': humidity, 'light/ppfd': 100 }, MINUTE_MS);
    }
  }
}

const valveHeld = (on: boolean, minutes: number) => async (ruled: Ruled) => {
  for (let minute = 0; minute < minutes; minute++) {
    await ruled.house.report([{ n: 'mist/valve', vb: on }]);
    await ruled.hold(GOOD, MINUTE_MS);
  }
};

const STORIES: Readonly<Record<LimitRule, Story>> = {
  'air-over-ceiling': {
    raise: held({ 'air/temperature': 28 }, 5 * MINUTE_MS),
    clear: held({}, 5 * MINUTE_MS),
  },
  'air-far-over-ceiling': {
    raise: held({ 'air/temperature': 36 }, 3 * MINUTE_MS),
    clear: held({}, 5 * MINUTE_MS),
  },
  'air-below-band-at-night': {
    before: async ({ hold, until }) => {
      await hold(GOOD, MINUTE_MS);
      await until(21);
    },
    raise: held({ 'air/temperature': 11 }, HOUR_MS),
    clear: held({ 'air/temperature': 15 }, 5 * MINUTE_MS),
  },
  'air-below-band-by-day': {
    raise: held({ 'air/temperature': 15 }, 2 * HOUR_MS),
    clear: held({}, 5 * MINUTE_MS),
  },
  'air-far-too-cold': {
    raise: held({ 'air/temperature': 8 }, 10 * MINUTE_MS),
    clear: held({}, 5 * MINUTE_MS),
  },
  'root-zone-far-too-cold': {
    raise: held({ 'root/temperature': 15 }, 6 * HOUR_MS),
    clear: held({}, HOUR_MS),
  },
  'root-too-hot': {
    raise: held({ 'root/temperature': 32 }, 5 * MINUTE_MS),
    clear: held({}, 5 * MINUTE_MS),
  },
  'root-below-band': {
    raise: held({ 'root/temperature': 19 }, 3 * HOUR_MS),
    clear: held({}, 5 * MINUTE_MS),
  },
  'root-falling-towards-air': {
    before: held({ 'air/temperature': 16, 'root/temperature': 22 }, HOUR_MS),
    raise: async ({ hold }) => {
      for (let minute = 0; minute < 150; minute++)
        await hold({ 'air/temperature': 16, 'root/temperature': 22 - (1.5 * minute) / 60 }, MINUTE_MS);
    },
    clear: held({ 'air/temperature': 16, 'root/temperature': 18.3 }, 2 * HOUR_MS),
  },
  'vpd-above-band-in-light': {
    raise: held({ 'air/humidity': 55, 'light/ppfd': 100 }, HOUR_MS),
    clear: held({ 'light/ppfd': 100 }, 35 * MINUTE_MS),
  },
  'no-mist-in-light': {
    before: (ruled) => misted(ruled, 12),
    raise: async (ruled) => {
      for (let minute = 0; minute < 60; minute++) {
        await ruled.house.report([{ n: 'mist/valve', vb: false }]);
        await ruled.hold({ ...GOOD, 'light/ppfd': 100 }, MINUTE_MS);
      }
    },
    clear: (ruled) => misted(ruled, 2),
  },
  'mist-without-water': {
    before: (ruled) => watered(ruled, { pulses: 12, water: true }),
    raise: (ruled) => watered(ruled, { pulses: 6, water: false }),
    clear: (ruled) => watered(ruled, { pulses: 3, water: true }),
  },
  'mist-stuck-on': {
    before: valveHeld(false, 12),
    raise: valveHeld(true, 20),
    clear: valveHeld(false, 10),
  },
  'vent-left-open': {
    before: held({}, 10 * MINUTE_MS),
    raise: async ({ house, hold }) => {
      const fromMs = house.hand.clock.nowMs();
      house.daemon.orders.logVent('bench-1', { fromMs, toMs: null, note: null });
      await hold(GOOD, 130 * MINUTE_MS);
    },
    clear: async ({ house, hold }) => {
      const toMs = house.hand.clock.nowMs();
      const { vents } = house.daemon.queries.vents('bench-1', { fromMs: toMs - 4 * HOUR_MS, toMs });
      const logged = vents.find(({ how }) => how === 'logged');
      house.daemon.orders.removeVent('bench-1', logged?.id ?? 0);
      const fromMs = Date.parse(logged?.from ?? '');
      house.daemon.orders.logVent('bench-1', { fromMs, toMs, note: null });
      await hold(GOOD, 10 * MINUTE_MS);
    },
  },
  'saturated-too-long': {
    before: asked({ saturatedHours: 3 }),
    raise: held({ 'air/humidity': 99.5 }, 4 * HOUR_MS),
    clear: async ({ house, hold }) => {
      const nowMs = house.hand.clock.nowMs();
      house.daemon.orders.logVent('bench-1', { fromMs: nowMs - MINUTE_MS, toMs: nowMs, note: null });
      await hold(GOOD, 10 * MINUTE_MS);
    },
  },
  'air-warmer-than-root': {
    before: switchedOn('air-warmer-than-root'),
    raise: held({ 'air/temperature': 24, 'root/temperature': 22 }, 5 * HOUR_MS),
    clear: held({}, 10 * MINUTE_MS),
  },
  'light-over-peak': {
    before: asked({ peakPpfdUmolM2S: 300 }),
    raise: held({ 'light/ppfd': 500 }, 20 * MINUTE_MS),
    clear: held({ 'light/ppfd': 100 }, 20 * MINUTE_MS),
  },
};

describe.each(LIMIT_RULES)('%s', (rule) => {
  test('is raised and cleared live, and in a trial on the same record at the same instants', async () => {
    const ruled = ruledHouse();
    const { queries } = ruled.house.daemon;
    await (STORIES[rule].before ?? held({}, 10 * MINUTE_MS))(ruled);
    ruled.answered();
    expect(ruled.alarm(rule)?.state ?? 'normal').toBe('normal');
    await STORIES[rule].raise(ruled);
    expect(ruled.alarm(rule)?.state).toBe('unacknowledged');
    await STORIES[rule].clear(ruled);
    expect(ruled.alarm(rule)?.state).toBe('returned-unacknowledged');

    const span = {
      fromMs: queries.recordStartMs('bench-1') ?? 0,
      toMs: ruled.house.hand.clock.nowMs(),
    };
    const { alarms } = queries.tryOnPast('bench-1', { rule, span, trial: {} });
    expect(alarms).toHaveLength(1);
    const [past] = alarms;
    const live = ruled.alarm(rule);
    const apart = (text: string | null | undefined, atMs: number | null | undefined) =>
      Math.abs(Date.parse(text ?? '') - (atMs ?? Number.NaN));
    expect(apart(past?.raised, live?.raisedAtMs)).toBeLessThanOrEqual(SECOND_MS);
    expect(apart(past?.returned, live?.returnedAtMs)).toBeLessThanOrEqual(SECOND_MS);
  });
});

describe('a trial of what is evaluated from the record', () => {
  test('may begin before the place first reported', async () => {
    const { house, hold } = ruledHouse();
    house.hand.pass(7 * MINUTE_MS);
    const fromMs = house.hand.clock.nowMs() - 2 * HOUR_MS;
    await hold({ ...GOOD, 'root/temperature': 15 }, 6 * HOUR_MS);
    const span = { fromMs, toMs: house.hand.clock.nowMs() };
    const tried = { rule: 'root-zone-far-too-cold', span, trial: {} } as const;
    expect(house.daemon.queries.tryOnPast('bench-1', tried).alarms).toHaveLength(1);
  });
});

describe('targets that want mist every 30 min by day, over a valve that opened every 10 min and then stays shut', () => {
  const shutInLight = async (ruled: Ruled, minutes: number) => {
    for (let minute = 0; minute < minutes; minute++) {
      await ruled.house.report([{ n: 'mist/valve', vb: false }]);
      await ruled.hold({ ...GOOD, 'light/ppfd': 100 }, MINUTE_MS);
    }
  };
  const wanting30 = async () => {
    const ruled = ruledHouse();
    await ruled.hold(GOOD, MINUTE_MS);
    setTargets(ruled, (targets) => ({ ...targets, mist: { everyMinByDay: 30 } }));
    await misted(ruled, 12);
    ruled.answered();
    return ruled;
  };

  test('give the alarm after 3 intervals of 30 min, live as in a trial, and not after 3 of the 10 min seen', async () => {
    const ruled = await wanting30();
    await shutInLight(ruled, 75);
    expect(ruled.alarm('no-mist-in-light')).toBeUndefined();
    await shutInLight(ruled, 15);
    const live = ruled.alarm('no-mist-in-light');
    expect(live?.state).toBe('unacknowledged');
    const { queries } = ruled.house.daemon;
    const span = { fromMs: queries.recordStartMs('bench-1') ?? 0, toMs: ruled.house.hand.clock.nowMs() };
    const { alarms } = queries.tryOnPast('bench-1', { rule: 'no-mist-in-light', span, trial: {} });
    expect(alarms.map(({ raised }) => Date.parse(raised))).toEqual([live?.raisedAtMs]);
    expect(queries.mist('bench-1', span)).toMatchObject({ patternMin: 30, patternFrom: 'wanted' });
  });

  test('give way to the 10 min that the place itself states', async () => {
    const ruled = await wanting30();
    ruled.house.daemon.orders.patchPlace('bench-1', { settings: { mistEveryMin: 10 } });
    await shutInLight(ruled, 35);
    expect(ruled.alarm('no-mist-in-light')?.state).toBe('unacknowledged');
  });
});

describe('a root zone of 22 °C in air of 16 °C whose probe begins again with 85 °C', () => {
  test('does not fall from there, live as in a trial, after a restart too', async () => {
    const ruled = ruledHouse();
    const { house, hold, answered, alarm } = ruled;
    const steady = { 'air/temperature': 16, 'root/temperature': 22 };
    await hold(steady, 30 * MINUTE_MS);
    answered();
    await hold({ 'air/temperature': 16 }, 30 * MINUTE_MS);
    await hold({ ...steady, 'root/temperature': 85 }, MINUTE_MS);
    await hold(steady, 20 * MINUTE_MS);
    const { store, hand, keep } = house;
    house.daemon.stop();
    const again = startHouse({ store, hand, keep });
    for (let minute = 0; minute < 70; minute++) {
      await again.report(recordsOf(steady));
      hand.pass(MINUTE_MS);
    }
    expect(alarm('root-falling-towards-air')).toBeUndefined();
    expect(again.daemon.queries.alarms().map(({ rule }) => rule)).not.toContain('root-falling-towards-air');
  });
});
