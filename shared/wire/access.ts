import { z } from 'zod';
import type { Output } from '../model/output.ts';
import { ROLES } from '../model/roles.ts';

export const accountSchema = z
  .strictObject({ id: z.number(), name: z.string(), role: z.enum(ROLES), createdAt: z.string() })
  .meta({ id: 'Account' });
export type Account = Output<typeof accountSchema>;

export const accessAnswerSchema = z
  .strictObject({
    closed: z
      .boolean()
      .describe('true once an owner password is set: then nobody is answered without signing in'),
    who: z.strictObject({ name: z.string(), role: z.enum(ROLES) }).nullable(),
    may: z
      .array(z.string())
      .describe('the routes that answer who asks, as the OpenAPI document names them: `post /api/v1/demo`'),
    encrypted: z.boolean().describe('whether what is sent to this page is encrypted on its way'),
  })
  .meta({ id: 'AccessAnswer', description: 'Who asks, and whether anybody has to say so.' });
export type AccessAnswer = Output<typeof accessAnswerSchema>;

export const sessionRowSchema = z
  .strictObject({
    id: z.number(),
    name: z.string(),
    role: z.enum(ROLES),
    createdAt: z.string(),
    seenAt: z.string(),
    expiresAt: z.string(),
    address: z.string(),
    agent: z.string(),
    own: z.boolean().describe('whether it is the one that asks'),
  })
  .meta({ id: 'SessionRow' });
export type SessionRow = Output<typeof sessionRowSchema>;

export const deviceLoginSchema = z
  .strictObject({ name: z.string(), createdAt: z.string() })
  .meta({ id: 'DeviceLogin' });
export type DeviceLogin = Output<typeof deviceLoginSchema>;

export const newDeviceLoginSchema = deviceLoginSchema
  .extend({ secret: z.string() })
  .meta({ id: 'NewDeviceLogin', description: 'The only answer that ever holds the secret.' });
export type NewDeviceLogin = Output<typeof newDeviceLoginSchema>;
