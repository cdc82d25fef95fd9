import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { openStore } from '../../../../../server/adapters/sqlite/store.ts';
import type { Carrier, OutboxMessage } from '../../../../../server/ports.ts';
import { clockByHand, type Hand } from '../../support/hand.ts';
import {
  airRecord,
  databaseFile,
  type House,
  keepInMemory,
  packOf,
  START_MS,
  startHouse,
} from '../../support/house.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const DAY_MS = 24 * HOUR_MS;
const YEAR_MS = 365 * DAY_MS;
/** 19 January 2038, 03:14:08 UTC: the first second that 32 bits with a sign cannot hold. */
const TO_2038_MS = 2 ** 31 * 1000 - START_MS + HOUR_MS;
const noticeSchema = z.object({ data: z.object({ alarm: z.object({ rule: z.string() }).nullable() }) });
const HOT_C = 48;
const MILD_C = 22;

/** A house that can be stopped and started again on its record, and whose messages can be read. */
function restartable() {
  const file = databaseFile();
  const hand = clockByHand(START_MS);
  const keep = keepInMemory();
  const sent: OutboxMessage[] = [];
  const carrier: Carrier = {
    send(_method, message) {
      sent.push(message);
      return Promise.resolve({ delivered: true });
    },
  };
  const open = () =>
    startHouse({ hand, keep, carrier, store: openStore({ file, nowMs: hand.clock.nowMs() }) });
  let house = open();
  return {
    hand,
    sent,
    house: () => house,
    restart(between: (hand: Hand) => void = () => undefined) {
      house.daemon.stop();
      house.store.close();
      between(hand);
      house = open();
    },
  };
}

/** Sends air every 10 s for a time, as a device without a clock does. */
async function blow(house: House, { valueC, forMs }: { valueC: number; forMs: number }): Promise<void> {
  for (let passedMs = 0; passedMs < forMs; passedMs += 10_000) {
    await house.report([airRecord(valueC)]);
    house.hand.pass(10_000);
  }
}

function ruleIn(body: string): string | null {
  return noticeSchema.parse(JSON.parse(body)).data.alarm?.rule ?? null;
}

function ceilingOf(house: House) {
  return house.daemon.world.alarms.get('bench-1.air-over-ceiling')?.state ?? 'normal';
}

function clockAlarm(house: House) {
  return house.daemon.world.alarms.get('house.clock-jumped');
}

const JUMPS = { '1 h': HOUR_MS, '1 day': DAY_MS, '1 year': YEAR_MS, '2038 and beyond': TO_2038_MS };
const JOURNEYS = Object.entries(JUMPS).flatMap(([name, byMs]) => [
  { name: `${name} ahead`, jumps: [byMs] },
  { name: `${name} back`, jumps: [-byMs] },
  { name: `${name} ahead and back`, jumps: [byMs, -byMs] },
  { name: `${name} back and ahead`, jumps: [-byMs, byMs] },
]);

describe.each(JOURNEYS)('a clock set $name', ({ jumps }) => {
  it.each([{ restarts: false }, { restarts: true }])(
    'air at 48 °C raises and calls within 2 min afterwards, restarts in between: $restarts',
    async ({ restarts }) => {
      const { hand, sent, house, restart } = restartable();
      await blow(house(), { valueC: MILD_C, forMs: 2 * MINUTE_MS });
      for (const byMs of jumps) {
        if (restarts) restart(({ jump }) => jump(byMs));
        else hand.jump(byMs);
        await blow(house(), { valueC: MILD_C, forMs: 2 * MINUTE_MS });
      }
      if (restarts) restart();
      const before = sent.length;
      await blow(house(), { valueC: HOT_C, forMs: 2 * MINUTE_MS });
      expect(ceilingOf(house())).toBe('unacknowledged');
      const rules = sent.slice(before).map(({ body }) => ruleIn(body));
      expect(rules).toContain('air-far-over-ceiling');
      // and it is over again, by the same clock
      await blow(house(), { valueC: MILD_C, forMs: 12 * MINUTE_MS });
      expect(ceilingOf(house())).toBe('returned-unacknowledged');
    },
  );
});

describe('a clock set ahead by 400 days and back', () => {
  const AHEAD_MS = 400 * DAY_MS;

  it('has its readings set aside, kept and listed once it is back, and takes them back should it go ahead again', async () => {
    const { hand, house } = restartable();
    await blow(house(), { valueC: MILD_C, forMs: 16 * MINUTE_MS });
    hand.jump(AHEAD_MS);
    await blow(house(), { valueC: MILD_C + 1, forMs: MINUTE_MS });
    hand.jump(-AHEAD_MS);
    await blow(house(), { valueC: MILD_C + 2, forMs: MINUTE_MS });
    const { journal, clock } = house().store;
    const [probeId = 0] = house().daemon.world.probes.keys();
    expect(journal.latest(probeId)?.value).toBe(MILD_C + 2);
    const [aside] = clock.aside();
    expect(aside).toMatchObject({ probeId, readings: 6, fromMs: START_MS + 16 * MINUTE_MS + AHEAD_MS });
    expect(journal.window({ probeIds: [probeId], fromMs: START_MS, toMs: 4e12 })[0]?.timesMs.length).toBe(
      102,
    );
    hand.jump(AHEAD_MS);
    await blow(house(), { valueC: MILD_C, forMs: 17 * MINUTE_MS });
    expect(clock.aside()).toEqual([]);
    const both = journal.window({
      probeIds: [probeId],
      fromMs: START_MS + AHEAD_MS - HOUR_MS,
      toMs: 4e12,
    })[0];
    expect(both?.timesMs.length).toBe(6 + 102);
  });

  it('raises one alarm that says from when to when and by how much, and is over after 15 min', async () => {
    const { hand, house } = restartable();
    await blow(house(), { valueC: MILD_C, forMs: MINUTE_MS });
    hand.jump(AHEAD_MS);
    await blow(house(), { valueC: MILD_C, forMs: MINUTE_MS });
    expect(clockAlarm(house())?.state).toBe('unacknowledged');
    expect(clockAlarm(house())?.facts).toMatchObject({
      items: [
        {
          what: "this computer's clock is 400 days ahead",
          detail: 'it went from 2026-06-01T10:01Z to 2027-07-06T10:01Z',
        },
      ],
    });
    hand.jump(-AHEAD_MS);
    await blow(house(), { valueC: MILD_C, forMs: 14 * MINUTE_MS });
    expect(clockAlarm(house())?.state).toBe('unacknowledged');
    await blow(house(), { valueC: MILD_C, forMs: 2 * MINUTE_MS });
    expect(clockAlarm(house())?.state).toBe('returned-unacknowledged');
  });

  it('raises air at 48 °C after a start with the right clock on a record that began under the wrong one', async () => {
    const { hand, house, restart } = restartable();
    hand.jump(AHEAD_MS);
    restart();
    await blow(house(), { valueC: MILD_C, forMs: 20 * MINUTE_MS });
    restart(({ jump, reboot }) => {
      jump(-AHEAD_MS);
      reboot();
    });
    await blow(house(), { valueC: HOT_C, forMs: 2 * MINUTE_MS });
    expect(ceilingOf(house())).toBe('unacknowledged');
    expect(clockAlarm(house())?.facts).toMatchObject({
      items: [{ what: "this computer's clock is at least 400 days behind" }],
    });
    await blow(house(), { valueC: HOT_C, forMs: 16 * MINUTE_MS });
    expect(house().store.clock.aside()[0]?.readings).toBeGreaterThanOrEqual(120);
  });
});

describe('a device that knows the time, at a daemon whose clock is wrong', () => {
  it.each([{ byMs: YEAR_MS }, { byMs: -YEAR_MS }])(
    'raises air at 48 °C, and its readings keep their own time, daemon set by $byMs ms',
    async ({ byMs }) => {
      const { hand, house } = restartable();
      const { clock } = hand;
      let setMs = 0;
      const report = async (valueC: number, forMs: number) => {
        for (let passedMs = 0; passedMs < forMs; passedMs += 10_000) {
          const record = { ...airRecord(valueC), t: (clock.nowMs() - setMs) / 1000 };
          await house().send(packOf([record], { arrivedAtMs: clock.nowMs() }));
          hand.pass(10_000);
        }
      };
      await report(MILD_C, 2 * MINUTE_MS);
      hand.jump(byMs);
      setMs = byMs;
      await report(HOT_C, 2 * MINUTE_MS);
      expect(ceilingOf(house())).toBe('unacknowledged');
      expect(house().daemon.queries.refused().total).toBe(0);
      const [probeId = 0] = house().daemon.world.probes.keys();
      const span = { fromMs: START_MS, toMs: START_MS + 4 * MINUTE_MS };
      expect(house().store.journal.window({ probeIds: [probeId], ...span })[0]?.timesMs.length).toBe(24);
    },
  );
});

describe('a clock one year ahead', () => {
  it('drops no reading for its age, though all are older than they are kept', async () => {
    const hand = clockByHand(START_MS);
    const store = openStore({ file: databaseFile(), nowMs: START_MS });
    const house = startHouse({ hand, store, keepRawDays: 35 });
    await blow(house, { valueC: MILD_C, forMs: 20 * MINUTE_MS });
    const before = store.horizon.get();
    hand.jump(YEAR_MS);
    hand.pass(HOUR_MS);
    const [probeId = 0] = house.daemon.world.probes.keys();
    const whole = { probeIds: [probeId], fromMs: START_MS, toMs: START_MS + HOUR_MS };
    expect(store.horizon.get()).toEqual(before);
    expect(store.journal.window(whole)[0]?.timesMs.length).toBe(120);
  });

  it('ends a shelving when it would have ended, and asks again when it would have', async () => {
    const { hand, house } = restartable();
    await blow(house(), { valueC: MILD_C, forMs: MINUTE_MS });
    await blow(house(), { valueC: HOT_C, forMs: 2 * MINUTE_MS });
    house().daemon.orders.shelve('bench-1.air-far-over-ceiling', { minutes: 60, reason: 'moved out' });
    hand.jump(YEAR_MS);
    hand.pass(30 * MINUTE_MS);
    hand.jump(-YEAR_MS);
    const shelved = () => house().daemon.world.alarms.get('bench-1.air-far-over-ceiling')?.shelved ?? null;
    hand.pass(29 * MINUTE_MS);
    expect(shelved()).not.toBeNull();
    hand.pass(2 * MINUTE_MS);
    expect(shelved()).toBeNull();
  });
});
