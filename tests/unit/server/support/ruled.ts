import type { HouseOptions, SentRecord } from './house.ts';
import { startHouse } from './house.ts';

const MINUTE_MS = 60_000;

export type Values = Readonly<Record<string, number>>;

const UNITS: Readonly<Record<string, string>> = {
  temperature: 'Cel',
  humidity: '%RH',
  ppfd: 'umol/m2/s',
  power: 'W',
};

/** Values by probe name as records of a pack. */
export const recordsOf = (values: Values): SentRecord[] =>
  Object.entries(values).map(([n, v]) => ({ n, u: UNITS[n.split('/')[1] ?? ''] ?? '', v }));

/** A house that is sent the values every minute for a time. */
export function ruledHouse(options: HouseOptions = {}) {
  const house = startHouse(options);
  const hold = async (values: Values, lastsMs: number, noise = 0) => {
    for (let passedMs = 0; passedMs < lastsMs; passedMs += MINUTE_MS) {
      // a real chip never says the same for hours
      const step = ((passedMs / MINUTE_MS) % 5) - 2;
      const said = Object.entries(values).map(([name, value]) => [name, value + step * noise]);
      await house.report(recordsOf(Object.fromEntries(said)));
      house.hand.pass(MINUTE_MS);
    }
  };
  const until = async (hour: number) => {
    while (new Date(house.hand.clock.nowMs()).getUTCHours() !== hour) house.hand.pass(MINUTE_MS);
  };
  const alarm = (rule: string) => house.daemon.queries.alarms().find((one) => one.rule === rule);
  const deviation = () =>
    house.daemon.queries
      .alarms()
      .filter(({ state }) => state === 'unacknowledged')
      .map(({ rule }) => rule)
      .toSorted();
  /** the three questions about the place are answered: the bands it has are right */
  const answered = () => house.daemon.orders.patchPlace('bench-1', { settings: { questionsOpen: false } });
  return { house, hold, until, alarm, deviation, answered };
}

/** A day in band. */
export const GOOD: Values = { 'air/temperature': 22, 'air/humidity': 92, 'root/temperature': 23.5 };
