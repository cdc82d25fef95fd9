import { gaussian, uniform } from '../../../server/domain/demo/random.ts';
import {
  type ClockSample,
  clocksAdrift,
  type DeviceClock,
} from '../../../server/domain/probes/faults/clock.ts';
import { type DailyMeans, drifts } from '../../../server/domain/probes/faults/drift.ts';
import type { Detection } from './score.ts';

const DAYS = 28;
const PAIRS = 40;

/**
 * Daily means of two probes side by side over four weeks: weather both share, noise of each, a few days without.
 * @param driftOverAll what the second moves away by over the four weeks, in its unit
 */
function pair(
  seed: number,
  { quantity, driftOverAll }: { quantity: string; driftOverAll: number },
): DailyMeans[] {
  const noise = quantity === 'air/humidity' ? 0.8 : 0.12;
  const weather = (day: number) => 3 * gaussian({ seed, stream: 1, index: day });
  const mean = (stream: number, day: number) =>
    21 + weather(day) + noise * gaussian({ seed, stream, index: day });
  const isOut = (day: number) => uniform({ seed, stream: 9, index: day }) < 0.1;
  const means = (stream: number, drift: number) =>
    Array.from({ length: DAYS }, (_, day) =>
      isOut(day) ? null : mean(stream, day) + (drift * day) / (DAYS - 1),
    );
  return [
    { probeId: 1, probe: 'a', quantity, means: means(2, 0) },
    { probeId: 2, probe: 'b', quantity, means: means(3, driftOverAll) },
  ];
}

/** Drift over four weeks from 1.4 to 3 times what counts, and pairs that do not drift. */
export function driftScore(): Detection & { readonly falseAlarms: number; readonly soundProbeWeeks: number } {
  const kinds = [
    { quantity: 'air/temperature', limit: 1 },
    { quantity: 'air/humidity', limit: 5 },
  ];
  const weekOf = (driftTimes: (seed: number) => number) =>
    kinds.flatMap(({ quantity, limit }, kind) =>
      Array.from({ length: PAIRS }, (_, i) => {
        const seed = 1000 * kind + i;
        return drifts(pair(seed, { quantity, driftOverAll: limit * driftTimes(seed) }), 0).length > 0;
      }),
    );
  const faulty = weekOf(
    (seed) => (seed % 2 === 0 ? 1 : -1) * (1.4 + 1.6 * uniform({ seed, stream: 5, index: 0 })),
  );
  const sound = weekOf(() => 0);
  return {
    finding: 'drift',
    put: faulty.length,
    found: faulty.filter(Boolean).length,
    falseAlarms: sound.filter(Boolean).length,
    soundProbeWeeks: (sound.length * 2 * DAYS) / 7,
  };
}

/** Clocks ahead by 1.5 to 5 min and behind by 8 min to 3 h; and sound ones, some sending what they stored. */
export function clockScore(): Detection & { readonly falseAlarms: number } {
  const clockOf = (seed: number, aheadS: (at: number) => number): DeviceClock => {
    const samples = [0, 1, 2].map((at): ClockSample => {
      const jitterS = 3 * uniform({ seed, stream: 2, index: at });
      return { atMs: at * 3_600_000, aheadMs: 1000 * (aheadS(at) - jitterS) };
    });
    return { probeId: seed, probe: String(seed), quantity: 'air/temperature', samples };
  };
  const drawn = (seed: number) => uniform({ seed, stream: 1, index: 0 });
  const seeds = Array.from({ length: 60 }, (_, seed) => seed);
  const adrift = seeds.map((seed) => {
    const offS = seed % 2 === 0 ? 90 + 190 * drawn(seed) : -(480 + 10_000 * drawn(seed));
    return clockOf(seed, () => offS);
  });
  const sound = seeds.map((seed) => {
    // every third empties a store, oldest first: it is late by ever less
    const storedS = seed % 3 === 0 ? 7200 + 7200 * drawn(seed) : 0;
    return clockOf(seed, (at) => -storedS * (1 - at / 2) - 60 * drawn(seed));
  });
  return {
    finding: 'clock-adrift',
    put: adrift.length,
    found: clocksAdrift(adrift).length,
    falseAlarms: clocksAdrift(sound).length,
  };
}
