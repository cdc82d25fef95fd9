import fc from 'fast-check';
import { expect, test } from 'vitest';
import { exposureQuestion, recordsOf } from '../../../../server/daemon/world/records.ts';
import { PROBE_QUANTITIES, type ProbeQuantityName } from '../../../../shared/quantities.ts';
import { exposuresOf } from '../../../support/exposures-of.ts';
import { clockByHand } from '../support/hand.ts';
import { START_MS, startHouse } from '../support/house.ts';

const MIN_MS = 60_000;
const GAP_MIN = 60;
const ALL = Object.keys(PROBE_QUANTITIES) as ProbeQuantityName[];

/** Few readings, a third to a whole gap apart: 85 °C that 80 °C bears out, or nothing does. */
const values = fc.array(
  fc.record({
    after: fc.constantFrom(20, 30, 40, 60),
    air: fc.constantFrom(20, 80, 85, 85, 85, null),
    humid: fc.boolean(),
  }),
  { minLength: 8, maxLength: 20 },
);

test('an hour counted by itself is, bit for bit, that hour counted with all readings at hand, though 85 °C stand at its edges', async () => {
  let left = 0;
  await fc.assert(
    fc.asyncProperty(values, async (steps) => {
      const house = startHouse({ hand: clockByHand(START_MS + 72 * 60 * MIN_MS) });
      const { daemon, store } = house;
      let minute = 0;
      const records = steps.flatMap(({ after, air, humid }) => {
        minute += after;
        const t = START_MS / 1000 + minute * 60;
        return [
          ...(air === null ? [] : [{ n: 'air/temperature', u: 'Cel', v: air, t }]),
          ...(humid ? [{ n: 'air/humidity', u: '%RH', v: 60 + (minute % 30), t }] : []),
        ];
      });
      if (records.length === 0) return;
      await house.report(records);
      const context = { world: daemon.world, store, timeZone: 'UTC' };
      daemon.orders.patchPlace('bench-1', { settings: { maxGapMs: GAP_MIN * MIN_MS } });
      const place = daemon.world.places.get('bench-1');
      if (!place) throw new Error('the place is missing');
      const whole = { fromMs: START_MS - 10 * GAP_MIN * MIN_MS, toMs: START_MS + (minute + 600) * MIN_MS };
      const everything = recordsOf(place, whole, ALL, context);
      left += records.filter(({ v }) => v === 85).length;
      for (let fromMs = START_MS; fromMs < START_MS + minute * MIN_MS; fromMs += 60 * MIN_MS) {
        const question = exposureQuestion(place, { fromMs, toMs: fromMs + 60 * MIN_MS }, context);
        expect(exposuresOf(question)).toEqual(exposuresOf({ ...question, records: everything }));
      }
      daemon.stop();
      store.close();
    }),
    { seed: 3, numRuns: 60 },
  );
  expect(left).toBeGreaterThan(200);
});
