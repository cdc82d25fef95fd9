import { z } from 'zod';

/** A device's status: what it says of itself, and what its Will says for it. Further members are ignored. */
export const statusSchema = z
  .looseObject({
    state: z.enum(['online', 'offline']).meta({ description: 'offline is sent by the Will' }),
  })
  .meta({
    title: 'strikewell/1/<device>/status',
    description: 'Retained. Any further member (firmware version, reset cause, …) is allowed and ignored.',
  });

export type DeviceStatus = z.infer<typeof statusSchema>;
