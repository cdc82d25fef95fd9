import { expect, test } from 'vitest';
import { openStore } from '../../../../../server/adapters/sqlite/store.ts';
import type { Carrier } from '../../../../../server/ports.ts';
import { clockByHand } from '../../support/hand.ts';
import { airRecord, databaseFile, START_MS, startHouse } from '../../support/house.ts';

const MINUTE_MS = 60_000;
const NITROGEN = { id: 'nitrogen', name: null, daysBefore: 14 };

/** A house whose bench is well, from 10:00 on 1 June, with Robin who gets the morning sheet at 07:00. */
async function wellHouse() {
  const hand = clockByHand(START_MS);
  const store = openStore({ file: databaseFile(), nowMs: START_MS });
  const sheets: { subject: string; message: string }[] = [];
  const carrier: Carrier = {
    send(_method, { body }) {
      const { type, data } = JSON.parse(body);
      if (type === 'sheet.morning') sheets.push({ subject: data.subject, message: data.message });
      return Promise.resolve({ delivered: true });
    },
  };
  const timers: typeof hand.timers = {
    ...hand.timers,
    every: (ms, run) =>
      hand.timers.every(ms, () => {
        if (ms !== 1_000 || hand.clock.nowMs() % MINUTE_MS < 1_000) run();
      }),
  };
  const house = startHouse({ store, hand: { ...hand, timers }, carrier, webhookUrl: null });
  const robin = house.daemon.people.add({ name: 'Robin', quiet: null });
  house.daemon.people.addContactMethod(robin.id, { kind: 'mail', address: 'robin@bench.example' });
  await house.report([airRecord(22)]);
  house.daemon.orders.patchPlace('bench-1', { settings: { questionsOpen: false } });
  let reported = 0;
  const until = async (atMs: number) => {
    while (hand.clock.nowMs() < atMs) {
      reported += 1;
      await house.report([airRecord(22 + 0.1 * Math.sin(reported))]);
      hand.pass(10 * MINUTE_MS);
      await new Promise<void>((resolve) => setImmediate(resolve));
    }
  };
  return { house, sheets, until };
}

test('a step that falls due on 3 June stands in the sheet of that morning alone; one that was done, or of a plan that was deleted, in none', async () => {
  const { house, sheets, until } = await wellHouse();
  const { preparations } = house.daemon.batches;
  const plan = { crop: 'lilac', stickOn: '2026-06-17', steps: [NITROGEN], details: { cultivar: 'Maud' } };
  preparations.add(plan);
  const done = preparations.add({ ...plan, crop: 'done' });
  preparations.tick(done.id, 'nitrogen', START_MS);
  preparations.remove(preparations.add({ ...plan, crop: 'deleted' }).id);
  await until(Date.UTC(2026, 5, 4, 8));
  expect(sheets).toEqual([
    {
      subject: 'Morning sheet: 1 due before sticking',
      message: 'Lilac ‘Maud’, planned for 2026-06-17: Last nitrogen feed is due today.',
    },
  ]);
  house.daemon.stop();
});
