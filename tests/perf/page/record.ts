import { readingsTopic } from '../../../firmware-contracts/v1/topics.ts';
import type { Daemon } from '../../support/daemon.ts';
import { connectPublisher } from '../../support/mqttPublisher.ts';
import { type Point, packOf } from '../../support/packs.ts';
import { seededNumbers } from '../../support/seeded.ts';

const READINGS_A_PACK = 450;
const DAY_MS = 86_400_000;
const PROBES = [
  { probe: 'air/temperature', unit: 'Cel', middle: 21, swing: 4 },
  { probe: 'air/humidity', unit: '%RH', middle: 84, swing: -10 },
  { probe: 'root/temperature', unit: 'Cel', middle: 22.8, swing: 1 },
  { probe: 'light/ppfd', unit: 'umol/m2/s', middle: 120, swing: 110 },
] as const;

type Past = { readonly days: number; readonly everyMs: number; readonly seed: number };

export const benchId = (number: number): string => `bench-${number}`;

/** Publishes the past of some benches, up to the present. */
export async function reportPast(daemon: Daemon, ids: readonly string[], past: Past): Promise<void> {
  const device = await connectPublisher({ url: daemon.mqttUrl });
  for (const [index, id] of ids.entries()) {
    const points = pointsOf({ ...past, seed: past.seed + index });
    for (let i = 0; i < points.length; i += READINGS_A_PACK) {
      const payload = packOf(points.slice(i, i + READINGS_A_PACK));
      await device.publish({ topic: readingsTopic(id), payload });
    }
  }
  await device.close();
}

/** A daily wave with noise, in the steps of a chip. */
function pointsOf({ days, everyMs, seed }: Past): Point[] {
  const nowMs = Math.floor(Date.now() / 1000) * 1000;
  const next = seededNumbers(seed);
  const count = Math.floor((days * DAY_MS) / everyMs);
  return Array.from({ length: count }, (_, k) => nowMs - (count - 1 - k) * everyMs).flatMap((atMs) => {
    const wave = -Math.cos((2 * Math.PI * (atMs % DAY_MS)) / DAY_MS);
    return PROBES.map(({ probe, unit, middle, swing }) => ({
      probe,
      unit,
      value: Math.round(100 * (middle + swing * (wave + 0.1 * next()))) / 100,
      atMs,
    }));
  });
}
