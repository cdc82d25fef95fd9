import { z } from 'zod';
import type { Output } from '../model/output.ts';
import { TOKEN_SCOPES } from '../model/people/access.ts';
import { ACCESS_EVENT_KINDS } from '../model/people/access-event.ts';
import { ROLES } from '../model/people/roles.ts';

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

export const apiTokenSchema = z
  .strictObject({ id: z.number(), name: z.string(), scope: z.enum(TOKEN_SCOPES), createdAt: z.string() })
  .meta({ id: 'ApiToken', description: 'A token with which a program reads, and changes nothing.' });
export type ApiToken = Output<typeof apiTokenSchema>;
export const newApiTokenSchema = apiTokenSchema
  .extend({ token: z.string() })
  .meta({ id: 'NewApiToken', description: 'The only answer that ever holds the token.' });
export type NewApiToken = Output<typeof newApiTokenSchema>;

export const passkeyStepSchema = z
  .strictObject({
    passkey: z.strictObject({
      ticket: z.string(),
      options: z.looseObject({}).describe('what a browser is to be asked, as WebAuthn writes it in JSON'),
      until: z.string(),
    }),
  })
  .meta({
    id: 'PasskeyStep',
    description: 'The password was right, and the account asks for a passkey too.',
  });
export type PasskeyStep = Output<typeof passkeyStepSchema>;

export const passkeyRowSchema = z
  .strictObject({
    id: z.number(),
    account: z.string(),
    name: z.string(),
    host: z.string().describe('the host name of the page it works at'),
    createdAt: z.string(),
    usedAt: z.string().nullable(),
    own: z.boolean().describe('whether it is of the account that asks'),
  })
  .meta({ id: 'PasskeyRow' });
export type PasskeyRow = Output<typeof passkeyRowSchema>;

export const passkeyOfferSchema = z
  .strictObject({
    ticket: z.string(),
    options: z.looseObject({}).describe('what a browser is to be asked to make a passkey'),
  })
  .meta({ id: 'PasskeyOffer' });
export type PasskeyOffer = Output<typeof passkeyOfferSchema>;

const accessEventSchema = z
  .strictObject({
    id: z.number(),
    kind: z.enum(ACCESS_EVENT_KINDS),
    from: z.string().describe('time of the first, where several are counted together'),
    at: z.string().describe('time of the last'),
    count: z.number(),
    who: z
      .string()
      .nullable()
      .describe('the account that did it, or was tried; null for an unknown name and at the command line'),
    whom: z.string().nullable().describe('the account or device it was done to'),
    address: z
      .string()
      .nullable()
      .describe('null at the command line; `several` where more were refused than are kept apart'),
    note: z.string().nullable(),
  })
  .meta({ id: 'AccessEvent', description: 'One sign-in, refusal or change of who may.' });
export type AccessEvent = Output<typeof accessEventSchema>;

export const accessEventsAnswerSchema = z
  .strictObject({
    events: z.array(accessEventSchema),
    next: z.string().nullable().describe('continues with older ones as `cursor`; null at the end'),
  })
  .meta({ id: 'AccessEventsAnswer' });
export type AccessEventsAnswer = Output<typeof accessEventsAnswerSchema>;
