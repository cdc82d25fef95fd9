import fc from 'fast-check';
import { expect, test } from 'vitest';
import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import { SERIES_QUANTITIES, type SeriesQuantityName } from '../../../../shared/quantities.ts';
import { clockByHand } from '../support/hand.ts';
import { databaseFile, packOf, type SentRecord, START_MS, startHouse } from '../support/house.ts';

const HOUR_MS = 3_600_000;
const SPAN = { fromMs: START_MS, toMs: START_MS + 6 * HOUR_MS };
const QUANTITIES = Object.keys(SERIES_QUANTITIES) as SeriesQuantityName[];

const PROBES = [
  { n: 'air/temperature', u: 'Cel', low: 10 },
  { n: 'air/temperature/2', u: 'Cel', low: 10 },
  { n: 'air/temperature/3', u: 'Cel', low: 10 },
  { n: 'air/humidity', u: '%RH', low: 60 },
  { n: 'root/temperature', u: 'Cel', low: 10 },
  { n: 'light/ppfd', u: 'umol/m2/s', low: 0 },
] as const;

/** Up to 60 readings within 6 h, at most 1 a probe and minute. */
const record = fc
  .uniqueArray(fc.record({ probe: fc.nat(PROBES.length - 1), minute: fc.nat(360), tenths: fc.nat(300) }), {
    minLength: 1,
    maxLength: 60,
    selector: ({ probe, minute }) => `${probe} ${minute}`,
  })
  .map((readings) =>
    readings.map(({ probe, minute, tenths }): SentRecord => {
      const { n, u, low } = PROBES[probe] ?? PROBES[0];
      return { n, u, v: low + tenths / 10, t: START_MS / 1_000 + minute * 60 };
    }),
  );

/** The readings shuffled, some of them again, cut into packs, with a restart after some of these. */
const method = record.chain((records) =>
  fc.record({
    records: fc.constant(records),
    sent: fc
      .tuple(
        fc.shuffledSubarray(records, { minLength: records.length }),
        fc.shuffledSubarray(records),
        fc.shuffledSubarray(records),
      )
      .map(([all, again, more]) => [...all, ...again, ...more]),
    packs: fc.array(fc.record({ size: fc.integer({ min: 1, max: 9 }), restart: fc.boolean() }), {
      minLength: 3,
      maxLength: 12,
    }),
  }),
);

function openAt(file: string) {
  const hand = clockByHand(START_MS + 7 * HOUR_MS);
  return startHouse({ hand, store: openStore({ file, nowMs: 0 }), timeZone: 'Europe/Berlin' });
}

/** All that can be asked about the place, as JSON. */
function answers({ daemon: { queries } }: ReturnType<typeof openAt>): string {
  const series = QUANTITIES.flatMap((quantity) =>
    [null, 7].map((points) => queries.series('bench-1', { ...SPAN, quantity, points })),
  );
  // whether a device is catching up is of the moment, not of the record
  const { catchingUp: _, ...now } = queries.now('bench-1');
  return JSON.stringify([queries.exposures('bench-1', SPAN), now, series]);
}

function close(house: ReturnType<typeof openAt>): void {
  house.daemon.stop();
  house.store.close();
}

test('exposures, series and the present are the same for any order, repeats, packs and restarts', async () => {
  await fc.assert(
    fc.asyncProperty(method, async ({ records, sent, packs }) => {
      const plain = openAt(databaseFile());
      await plain.report(records.toSorted((a, b) => (a.t ?? 0) - (b.t ?? 0)));
      const file = databaseFile();
      let house = openAt(file);
      for (let taken = 0, k = 0; taken < sent.length; k++) {
        const { size, restart } = packs[k % packs.length] ?? { size: 1, restart: false };
        const arrivedAtMs = START_MS + 7 * HOUR_MS;
        await house.send(packOf(sent.slice(taken, taken + size), { arrivedAtMs }));
        taken += size;
        if (!restart) continue;
        close(house);
        house = openAt(file);
      }
      expect(answers(house)).toBe(answers(plain));
      expect(house.daemon.queries.probes().map(({ conflicts }) => conflicts)).not.toContain(1);
      close(house);
      close(plain);
    }),
    { numRuns: 40 },
  );
});
