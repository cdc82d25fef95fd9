import { expect, test } from 'vitest';
import { deadIn, type FaultKind, faultyDays, MINUTE_MS, type PlannedFault } from '../support/faulty-days.ts';
import { CADENCE_MS, WATCH_MS } from '../support/simulated-year.ts';

/** A year: STRIKEWELL_SIMULATED_DAYS=365, and another one with STRIKEWELL_SEED. */
const DAYS = Number(process.env['STRIKEWELL_SIMULATED_DAYS'] ?? 12);
const SEED = Number(process.env['STRIKEWELL_SEED'] ?? 20_261_129);
/** The delay of the alarm, the reading after it, a look at the time, and one more until the message is handed over. */
const CALLED_WITHIN_MS = MINUTE_MS + CADENCE_MS + 2 * WATCH_MS;

/** From when on judging was possible: a daemon that is dead calls nobody. */
function judgedFromMs(fromMs: number, faults: readonly PlannedFault[]): number {
  const dead = faults.map(deadIn).filter((span) => span !== null);
  const overlapping = dead.find((span) => span.fromMs <= fromMs + CALLED_WITHIN_MS && span.toMs >= fromMs);
  return Math.max(fromMs, overlapping?.toMs ?? fromMs);
}

test(`${DAYS} days with a kill, a full disk, a clock that is set, poison or a way that hangs on most: nothing acknowledged is missing, and nothing stays over the ceiling past its delay without a call`, async () => {
  const { faults, acknowledged, kept, stored, refused, sent, over } = await faultyDays({
    days: DAYS,
    seed: SEED,
  });
  const count = (kind: FaultKind) => faults.filter((fault) => fault.kind === kind).length;
  const calls = sent.filter(
    ({ type, alarmId }) => type === 'alarm.raised' && /^bench-1\.air-(far-)?over-ceiling$/.test(alarmId),
  );
  const long = over.filter(({ fromMs, toMs }) => toMs - judgedFromMs(fromMs, faults) >= CALLED_WITHIN_MS);
  const uncalled = long.filter(
    ({ fromMs }) =>
      !calls.some(({ atMs }) => atMs >= fromMs && atMs <= judgedFromMs(fromMs, faults) + CALLED_WITHIN_MS),
  );
  console.info(
    `${DAYS} days, seed ${SEED}: ${count('kill')} kills, ${count('full disk')} full disks, ${count('clock')} clocks set, ` +
      `${count('poison')} poison, ${count('hanging way')} ways that hung; ${acknowledged.size} readings acknowledged; ` +
      `${long.length} times over the ceiling, ${uncalled.length} without a call in time`,
  );
  expect([...acknowledged].filter((key) => !stored.has(key))).toEqual([]);
  expect(kept).toEqual([]);
  expect(refused).toEqual(count('poison') === 0 ? {} : { 'not-storable': count('poison') });
  expect(uncalled).toEqual([]);
  // enough to have been worth it
  expect(long.length).toBeGreaterThanOrEqual(Math.floor(DAYS / 10));
  expect(
    Math.min(count('kill'), count('full disk'), count('clock'), count('poison'), count('hanging way')),
  ).toBeGreaterThan(0);
}, 7_200_000);
