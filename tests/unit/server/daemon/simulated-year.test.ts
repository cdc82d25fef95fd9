import { expect, test } from 'vitest';
import { ALARM_TARGETS } from '../../../../shared/model/alarms/alarm-targets.ts';
import { CADENCE_MS, DOME, simulatedDays, WATCH_MS } from '../support/simulated-year.ts';

/**
 * A year takes minutes: STRIKEWELL_SIMULATED_DAYS=365 runs it whole; the tests run the first weeks. The simulated dome
 * stands in the sun for two hours on one day in ten, 8 to 20 K warmer: some 0.7 excursions a week, each of which deserves
 * a call, and none of which deserves two. The whole year gave 39 excursions, 38 of them long enough that they had to be
 * announced, 0 missed; 41 cold, 15 dry and 6 blind spells, 0 without a call; 1.34 alarms of high priority a week at the
 * dome, 70 for its 70 troubles, and 0.94 in all a day (before dry air of a mist bench ended after half an hour: 1.13).
 */
const DAYS = Number(process.env['STRIKEWELL_SIMULATED_DAYS'] ?? 21);
const MINUTE_MS = 60_000;
/** By the rule: a delay of 60 s at the most, one reading, and one look at the time. */
const DETECTED_WITHIN_MS = MINUTE_MS + CADENCE_MS + WATCH_MS;

test(`${DAYS} simulated days with hot hours, dropouts, 85.0 °C and stuck humidity: no excursion above the ceiling is missed, none is raised by 85.0 °C, and the rates are printed`, async () => {
  const { house, store, span, excursions, mustCall } = await simulatedDays(DAYS);
  const raisedAt = ['air-over-ceiling', 'air-far-over-ceiling'].flatMap((rule) =>
    store.alarms
      .eventsIn({ ...span, limit: 100_000 })
      .filter(({ alarmId, transition }) => alarmId === `demo-bottle-dome.${rule}` && transition === 'raised')
      .map(({ atMs }) => atMs),
  );
  const long = excursions.filter(({ fromMs, toMs }) => toMs - fromMs >= DETECTED_WITHIN_MS);
  const missed = long.filter(
    ({ fromMs }) => !raisedAt.some((atMs) => atMs >= fromMs && atMs <= fromMs + DETECTED_WITHIN_MS),
  );
  expect(missed).toEqual([]);
  expect(long.length).toBeGreaterThanOrEqual(Math.floor(DAYS / 21));
  const hot = store.alarms
    .eventsIn({ ...span, limit: 100_000 })
    .filter(({ alarmId }) => alarmId.endsWith('root-too-hot'));
  expect(hot.filter(({ transition }) => transition === 'raised').length).toBeLessThanOrEqual(long.length);
  const called = store.alarms
    .eventsIn({ ...span, limit: 100_000 })
    .filter(({ transition }) => transition === 'raised');
  const uncalled = mustCall.filter(
    ({ placeId, rules, fromMs, toMs }) =>
      !called.some(
        ({ alarmId, atMs }) =>
          rules.some((rule) => alarmId === `${placeId}.${rule}`) && atMs >= fromMs && atMs <= toMs,
      ),
  );
  expect(uncalled).toEqual([]);
  const raisings = Map.groupBy(called, ({ alarmId }) => alarmId);
  console.info([...raisings].map(([id, events]) => `${id} ${events.length}`).join(', '));
  const count = (what: string) => mustCall.filter((one) => one.what === what).length;
  // the dome's own troubles come to more than one a week: each deserves a call of high priority, none deserves two; one
  // too short to have to be called may be
  const deserved =
    excursions.length + mustCall.filter(({ what, placeId }) => what !== 'dry' && placeId === DOME).length;
  const { whole, talkative } = house.daemon.queries.alarmQuality(span);
  const frequent = talkative.map(({ alarmId, told: times }) => `${alarmId} ${times}`).join(', ');
  console.info(
    `${DAYS} days, 2 places: ${long.length} excursions over the ceiling, ${missed.length} missed; ` +
      `${deserved} times high priority was deserved at the dome; ` +
      `${count('cold')} cold, ${count('dry')} dry and ${count('blind')} blind ones, ${uncalled.length} without a call; ` +
      `${whole.perDay.toFixed(2)} alarms a day (target ${ALARM_TARGETS.perDay}), ` +
      `${whole.highPerWeekAtWorst.toFixed(2)} of high priority a week at the worst place (target ${ALARM_TARGETS.highPerWeekAndPlace}); ${frequent}`,
  );
  expect(whole.perDay).toBeLessThanOrEqual(ALARM_TARGETS.perDay);
  expect(whole.highPerWeekAtWorst).toBeLessThanOrEqual(
    Math.max(ALARM_TARGETS.highPerWeekAndPlace, (7 * deserved) / DAYS),
  );
  store.close();
}, 7_200_000);
