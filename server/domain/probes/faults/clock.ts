import type { Finding } from '../../../../shared/model/probes/finding.ts';

/** A time ahead of its arrival by more cannot be true, ms; set clocks differ by less. Common practice, no source. */
const AHEAD_MS = 60_000;
/** Behind by more at every check, and every time alike, ms. Common practice, no source. */
const BEHIND_MS = 5 * 60_000;
/** How much "alike" leaves open: a share of the lateness. A store that empties is late by ever less. */
const ALIKE = 0.2;
export const LEAST_SAMPLES = 3;

/** At one check: how far the newest reading of a device lay ahead of its arrival (below 0: behind). */
export type ClockSample = { readonly atMs: number; readonly aheadMs: number };

export type DeviceClock = {
  /** the device's probe that reported last */
  readonly probeId: number;
  readonly probe: string;
  readonly quantity: string;
  /** the last checks, ascending, each after a new delivery */
  readonly samples: readonly ClockSample[];
};

/**
 * Devices whose clock is adrift: readings ahead of their arrival at three checks in a row, or late by the same at all
 * three. A device that sends what it stored is late by less each time; one that sends rarely is late by what it waits.
 * @param devices clock samples of each; at most one reading ahead a look is no clock
 * @returns one finding a device, at its probe; seen: seconds ahead, below 0 behind
 * @example clocksAdrift([]) // []
 */
export function clocksAdrift(devices: readonly DeviceClock[]): Finding[] {
  return devices.flatMap(({ samples, ...probe }) => {
    const last = samples.slice(-LEAST_SAMPLES);
    if (last.length < LEAST_SAMPLES) return [];
    const aheadMs = last.map((sample) => sample.aheadMs).sort((a, b) => a - b);
    const [least = 0, middle = 0, most = 0] = aheadMs;
    const ahead = least > AHEAD_MS;
    const behind = most < -BEHIND_MS && most - least <= ALIKE * -middle;
    if (!ahead && !behind) return [];
    return [
      {
        ...probe,
        finding: 'clock-adrift' as const,
        sinceMs: last[0]?.atMs ?? 0,
        untilMs: null,
        orEarlier: true,
        readings: 0,
        spans: [],
        facts: {
          seen: Math.round(middle / 1000),
          limit: (ahead ? AHEAD_MS : BEHIND_MS) / 1000,
          other: null,
          otherProbe: null,
        },
      },
    ];
  });
}
