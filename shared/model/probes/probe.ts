import { z } from 'zod';
import type { Output } from '../output.ts';

/** One value of one probe, in the probe's canonical unit, at a time in ms since epoch. */
export type Reading = { readonly probeId: number; readonly tMs: number; readonly value: number };

export const probeSchema = z
  .strictObject({
    id: z.number(),
    device: z.string(),
    name: z.string(),
    quantity: z.string().nullable(),
    unit: z.string(),
    placeId: z.string().nullable(),
    conflicts: z.number(),
  })
  .meta({
    id: 'Probe',
    description:
      'One sensor channel of a device. `quantity` is `<position>/<quantity>` when the name is well known, else null: such a probe is kept, unassigned.',
  });
export type Probe = Output<typeof probeSchema>;
