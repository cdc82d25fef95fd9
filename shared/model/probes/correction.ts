import { z } from 'zod';
import { PROBE_QUANTITIES, type ProbeQuantityName } from '../../quantities.ts';
import type { Output } from '../output.ts';

type Limits = { readonly gain: readonly [number, number]; readonly offset: readonly [number, number] };

/** The second part of a quantity's name: `temperature` of `air/temperature`. */
type Measured = ProbeQuantityName extends infer Name
  ? Name extends `${string}/${infer Last}`
    ? Last
    : never
  : never;

/**
 * How far a correction may go: beyond it a probe is broken, not adrift; null where none may be entered. Common practice,
 * no source.
 */
const LIMITS: Readonly<Record<Measured, Limits | null>> = {
  temperature: { gain: [0.8, 1.25], offset: [-10, 10] },
  humidity: { gain: [0.5, 2], offset: [-60, 60] },
  illuminance: { gain: [0.2, 5], offset: [-1000, 1000] },
  ppfd: { gain: [0.2, 5], offset: [-50, 50] },
  wetness: null,
  moisture: null,
  valve: null,
  power: null,
  level: null,
};

/** How far a probe of a quantity may be corrected; null for one that cannot be, such as a valve. */
export function correctionLimits(quantity: string | null): Limits | null {
  if (quantity === null || !Object.hasOwn(PROBE_QUANTITIES, quantity)) return null;
  return LIMITS[quantity.slice(quantity.indexOf('/') + 1) as Measured];
}

/** A correction as it is entered; `from` in RFC 3339, without it from now on. */
export const newCorrectionSchema = z.strictObject({
  gain: z.number().positive().default(1),
  offset: z.number(),
  from: z.iso.datetime({ offset: true }).optional(),
  reason: z.string().trim().min(1, 'say why, in a word or two').max(200),
  checkId: z.int().positive().optional(),
});

export const correctionSchema = z
  .strictObject({
    gain: z.number(),
    offset: z.number(),
    id: z.number(),
    probeId: z.number(),
    fromMs: z.number().describe('holds from here until the next one, or for good; a whole minute'),
    reason: z.string(),
    by: z.string().nullable().describe('who entered it, when it is known'),
    enteredMs: z.number(),
    checkId: z.number().nullable().describe('the check it comes of, null for one entered by hand'),
    withdrawnMs: z.number().nullable(),
    withdrawnBy: z.string().nullable(),
  })
  .meta({
    id: 'Correction',
    description:
      'A correction of a probe as it was entered; times in ms since epoch. One that was withdrawn counts for nothing.',
  });
export type Correction = Output<typeof correctionSchema>;
