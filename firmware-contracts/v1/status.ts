import { z } from 'zod';

const describe = <S extends z.ZodType>(schema: S, description: string): S => schema.meta({ description });

/** A device's status: what it says of itself, and what its Will says for it. Further members are ignored. */
export const statusSchema = z
  .looseObject({
    state: z.enum(['online', 'offline']).meta({ description: 'offline is sent by the Will' }),
    signalDbm: describe(z.number().optional(), 'strength of its radio signal, dBm'),
    dropped: describe(
      z.int().min(0).optional(),
      'readings its full buffer has dropped since it started: lost for good',
    ),
    firmware: describe(z.string().optional(), 'name and version of what it runs'),
  })
  .meta({
    title: 'strikewell/1/<device>/status',
    description:
      'Retained. The members beside state are shown with the device where they fit; any further one (cause of the last reset, …) is allowed and ignored.',
  });
