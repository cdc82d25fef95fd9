import { z } from 'zod';
import { PROBE_QUANTITIES } from '../quantities.ts';

/** A straight line from what a probe tells to what is taken for true: gain × value + offset, in the probe's unit. */
export type Line = { readonly gain: number; readonly offset: number };

/** No correction. */
export const AS_TOLD: Line = { gain: 1, offset: 0 };

/** A correction of a probe as it was entered; times in ms since epoch. One that was withdrawn counts for nothing. */
export type Correction = Line & {
  readonly id: number;
  readonly probeId: number;
  /** holds from here until the next one, or for good; a whole minute */
  readonly fromMs: number;
  readonly reason: string;
  /** who entered it, when it is known */
  readonly by: string | null;
  readonly enteredMs: number;
  /** the check it comes of, null for one entered by hand */
  readonly checkId: number | null;
  readonly withdrawnMs: number | null;
  readonly withdrawnBy: string | null;
};

type Limits = { readonly gain: readonly [number, number]; readonly offset: readonly [number, number] };

/** How far a correction may go: beyond it a probe is broken, not adrift. Common practice, no source. */
const LIMITS: Readonly<Record<string, Limits>> = {
  temperature: { gain: [0.8, 1.25], offset: [-10, 10] },
  humidity: { gain: [0.5, 2], offset: [-60, 60] },
  illuminance: { gain: [0.2, 5], offset: [-1000, 1000] },
  ppfd: { gain: [0.2, 5], offset: [-50, 50] },
};

/** How far a probe of a quantity may be corrected; null for one that cannot be, such as a valve. */
export function correctionLimits(quantity: string | null): Limits | null {
  if (quantity === null || !Object.hasOwn(PROBE_QUANTITIES, quantity)) return null;
  return LIMITS[quantity.slice(quantity.indexOf('/') + 1)] ?? null;
}

/** A correction as it is entered; `from` in RFC 3339, without it from now on. */
export const newCorrectionSchema = z.strictObject({
  gain: z.number().positive().default(1),
  offset: z.number(),
  from: z.iso.datetime({ offset: true }).optional(),
  reason: z.string().trim().min(1, 'say why, in a word or two').max(200),
  checkId: z.int().positive().optional(),
});
