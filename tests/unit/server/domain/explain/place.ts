import { readFileSync } from 'node:fs';
import type { PlaceSettings } from '../../../../../shared/model/place.ts';
import { type SentRecord, START_MS, startHouse } from '../../support/house.ts';

/** Every position of a place, some with 2 probes, as a bench at 10:00 UTC might read: value at a minute. */
export const EVERYTHING: Readonly<Record<string, readonly [string, (minute: number) => number]>> = {
  'root/temperature': ['Cel', (minute) => 20 + minute / 20],
  'air/temperature': ['Cel', (minute) => 23 + minute / 15],
  'air/temperature/2': ['Cel', (minute) => 23.5 + minute / 15],
  'air/humidity': ['%RH', (minute) => 99 - minute / 10],
  'leaf/temperature': ['Cel', () => 22],
  'leaf/wetness': ['/', (minute) => (minute < 30 ? 1 : 0)],
  'wall/temperature': ['Cel', () => 18],
  'outside/temperature': ['Cel', () => 9],
  'light/ppfd': ['umol/m2/s', (minute) => 3 * minute],
  'light/illuminance': ['lx', (minute) => 200 * minute],
};

/** A part of them, by name. */
export function only(...names: readonly string[]) {
  return Object.fromEntries(Object.entries(EVERYTHING).filter(([name]) => names.includes(name)));
}

/** The hour that was read, and a day around it. */
export const HOUR = { fromMs: START_MS, toMs: START_MS + 3_600_000 };
export const TWO_DAYS = { fromMs: START_MS - 24 * 3_600_000, toMs: START_MS + 24 * 3_600_000 };

/**
 * The real daemon after probes were read every 5 min for 1 h.
 *
 * @param probes unit and value at a minute, by probe name
 * @param settings of the place other than the usual
 * @returns its house
 */
export async function hourOf(probes: typeof EVERYTHING, settings: Partial<PlaceSettings> = {}) {
  const house = startHouse();
  const records = Object.entries(probes).flatMap(([name, [u, valueAt]]) =>
    Array.from({ length: 13 }, (_, k): SentRecord => {
      return { n: name, u, v: valueAt(5 * k), t: START_MS / 1_000 + 300 * k };
    }),
  );
  house.hand.pass(3_600_000);
  await house.report(records);
  if (Object.keys(settings).length > 0) house.daemon.orders.patchPlace('bench-1', { settings });
  return house;
}

const bibliography = readFileSync(new URL('../../../../../shared/sources.md', import.meta.url), 'utf8');

/** Whether shared/sources.md has an entry under a key. */
export function isListed(key: string): boolean {
  return bibliography.includes(`\n- [${key}] `);
}
