import type { Refusal } from './refusal.ts';

type ClockQuestion = {
  readonly device: string;
  readonly readings: readonly { readonly probe: string; readonly tMs: number }[];
  /** when they arrived by this computer's clock, and from when on readings are kept, ms since epoch */
  readonly arrivedAtMs: number;
  readonly takenFromMs: number;
};

/**
 * Why readings that arrive by a clock which is behind all that is kept may be judged and not stored: at the times that
 * such a clock gives them there are no readings any more, and exposures are settled for good.
 * @returns null where the clock is not so far behind, or the device's own gives times that are kept
 */
export function clockBehind({ device, readings, arrivedAtMs, takenFromMs }: ClockQuestion) {
  if (arrivedAtMs >= takenFromMs) return null;
  const first = readings.findIndex(({ tMs }) => tMs < takenFromMs);
  const reading = readings[first];
  if (reading === undefined) return null;
  const reason =
    `the clock of this computer shows ${iso(arrivedAtMs)}, and readings before ${iso(takenFromMs)} are not kept any ` +
    `more; ${reading.probe} was judged, and not stored`;
  return { code: 'clock-behind', reason, pointer: `/${first}`, device } as const satisfies Refusal & {
    device: string;
  };
}

function iso(ms: number): string {
  return new Date(ms).toISOString();
}
