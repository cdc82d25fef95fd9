import { expect, test } from 'vitest';
import { alarmWords } from '../../../../../shared/words/alarm.ts';
import { airRecord, startHouse } from '../../support/house.ts';

/** "Rising" and "falling" are those of the last minutes, at the time a sentence is written, never of the whole alarm. */
const SECOND_MS = 1_000;
const MINUTE_MS = 60_000;

test('air that rose 6 K in 12 min and has been falling for 2: message and page say falling; 6 min after its last reading neither', async () => {
  const house = startHouse();
  let airC = 26;
  const drift = async (perMin: number, minutes: number) => {
    for (let k = 0; k < minutes * 6; k += 1) {
      airC += perMin / 6;
      await house.report([airRecord(airC)]);
      house.hand.pass(10 * SECOND_MS);
    }
  };
  const alarmNow = () => house.daemon.queries.alarms().find(({ rule }) => rule === 'air-over-ceiling');
  const headline = () => {
    const alarm = alarmNow();
    if (!alarm) throw new Error('no alarm');
    return alarmWords(alarm, { unit: 'C', timeZone: 'UTC', nowMs: house.hand.clock.nowMs() }).headline;
  };
  await drift(0.5, 12);
  expect(headline()).toContain(', rising 0.5 °C a minute');
  await drift(-0.4, 2);
  // over the whole alarm it rose by some 0.3 K a minute, over its last 5 min by 0.1
  expect(headline()).toContain(', falling 0.2 °C a minute');
  const pages = house.sent.filter(({ kind }) => kind === 'alarm').map(({ what }) => what);
  expect(pages).toContainEqual(expect.objectContaining({ facts: alarmNow()?.facts }));
  house.hand.pass(6 * MINUTE_MS);
  expect(headline()).not.toMatch(/rising|falling/);
});
