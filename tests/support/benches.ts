import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import type { Daemon } from './daemon.ts';
import { connectPublisher } from './mqttPublisher.ts';
import { held, type Point, packOf } from './packs.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 3_600_000;
const EVERY_MS = 10 * MINUTE_MS;
const MOST_IN_A_PACK = 450;

/** Day and night alike, so that hours can be counted by hand. */
const TARGETS = {
  dayStart: '06:00',
  nightStart: '20:00',
  rootZone: { day: { lowC: 21, highC: 24 }, night: { lowC: 21, highC: 24 } },
  air: { day: { lowC: 13, highC: 18 }, night: { lowC: 13, highC: 18 }, ceilingC: 26.7 },
  vpd: { lowKpa: 0.05, highKpa: 0.6 },
  saturation: { relativeHumidityPct: 99 },
};

/** A bench over a night: its air and root zone so many hours before the present, °C; null: it did not report. */
export type Bench = {
  readonly id: string;
  readonly name: string;
  readonly zone: string;
  readonly at: (hoursAgo: number) => { readonly air: number; readonly root: number } | null;
};

/** An IANA zone in which it is about 7 in the morning. @param nowMs ms since epoch */
export function morningZone(nowMs: number): string {
  const ahead = (7 - new Date(nowMs).getUTCHours() + 24) % 24;
  return ahead <= 12 ? `Etc/GMT-${ahead}` : `Etc/GMT+${24 - ahead}`;
}

const WELL = { air: 15.5, root: 22.5 };

/** Twenty-four benches in three houses: one too hot now and calling, one too cold, one silent, two that are back, the others well. */
export function nightBenches(): Bench[] {
  const stories: Readonly<Record<number, Bench['at']>> = {
    18: (ago) => ({ ...WELL, air: ago < 2 ? 31 : 15.5 }),
    11: (ago) => ({ ...WELL, root: ago < 5 ? 22.5 - 1.5 * (5 - ago) : 22.5 }),
    14: (ago) => (ago < 6 ? null : WELL),
    21: (ago) => ({ ...WELL, air: ago > 2 && ago < 5 ? 9.6 : 15.5 }),
    4: (ago) => ({ ...WELL, air: ago > 7 && ago < 8 ? 29.4 : 15.5 }),
  };
  return Array.from({ length: 24 }, (_, i) => {
    const number = i + 1;
    const zone = ['North house', 'South house', 'Back tunnel'][Math.floor(i / 8)] ?? '';
    return { id: `bench-${number}`, name: `Bench ${number}`, zone, at: stories[number] ?? (() => WELL) };
  });
}

/**
 * Publishes the last twelve hours of some benches, and sets their names, zones and targets.
 *
 * @param daemon an empty one
 * @param benches what they did
 */
export async function reportBenches(daemon: Daemon, benches: readonly Bench[]): Promise<void> {
  const nowMs = Date.now();
  const device = await connectPublisher({ url: daemon.mqttUrl });
  const from = new Date(nowMs - 48 * HOUR_MS).toISOString();
  await Promise.all(
    benches.map(async (bench) => {
      const points = pointsOf(bench, nowMs);
      for (let i = 0; i < points.length; i += MOST_IN_A_PACK)
        await device.publish({
          topic: readingsTopic(bench.id),
          payload: packOf(points.slice(i, i + MOST_IN_A_PACK)),
        });
      await succeeds(daemon.put(`/api/v1/places/${bench.id}/targets`, { ...TARGETS, from }));
      await succeeds(
        daemon.patch(`/api/v1/places/${bench.id}`, { name: bench.name, settings: { zone: bench.zone } }),
      );
    }),
  );
  // what is current raises alarms, what is hours old does not
  const [hot] = benches.filter(({ at }) => (at(0)?.air ?? 0) > TARGETS.air.ceilingC);
  if (hot) await device.publish({ topic: readingsTopic(hot.id), payload: packOf(lastMinutesOf(hot)) });
  await device.close();
}

function lastMinutesOf({ at }: Bench): Point[] {
  const span = { fromMs: Date.now() - 180_000, toMs: Date.now(), everyMs: 10_000 };
  return held({ probe: 'air/temperature', unit: 'Cel', value: at(0)?.air ?? 0, ...span });
}

async function succeeds(asked: Promise<{ status: number; body: unknown }>): Promise<void> {
  const { status, body } = await asked;
  if (status !== 200) throw new Error(`answered ${status}: ${JSON.stringify(body)}`);
}

function pointsOf({ at }: Bench, nowMs: number): Point[] {
  const moments = Array.from({ length: 73 }, (_, i) => nowMs - 12 * HOUR_MS + i * EVERY_MS).slice(0, -1);
  return moments.flatMap((atMs) => {
    const values = at((nowMs - atMs) / HOUR_MS);
    if (values === null) return [];
    return [
      { probe: 'air/temperature', unit: 'Cel', value: values.air, atMs },
      { probe: 'air/humidity', unit: '%RH', value: 90, atMs },
      { probe: 'root/temperature', unit: 'Cel', value: values.root, atMs },
    ];
  });
}
