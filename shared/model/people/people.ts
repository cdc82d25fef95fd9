import { z } from 'zod';
import { jsonOf } from '../../json.ts';
import { nameSchema } from '../name.ts';
import type { Output } from '../output.ts';

/** A time of day by the wall clock. */
export const clockTimeSchema = z
  .string()
  .regex(/^([01]\d|2[0-3]):[0-5]\d$/, 'expected a time of day such as 22:00')
  .describe('time of day, HH:MM');

/** From when until when somebody sleeps, by the wall clock of the installation; over midnight when `to` is earlier. */
export const quietSchema = z
  .strictObject({ from: clockTimeSchema, to: clockTimeSchema })
  .refine(({ from, to }) => from !== to, 'the quiet hours must end at another time than they begin');

export const personPatchSchema = z.strictObject({
  name: nameSchema,
  quiet: quietSchema.nullable(),
});

const address = z
  .string()
  .trim()
  .max(254)
  .regex(/^[^\s@<>",;]+@[^\s@<>",;]+$/, 'expected an e-mail address');
const webhookUrl = z
  .string()
  .trim()
  .max(2_000)
  .refine((text) => URL.canParse(text) && /^https?:$/.test(new URL(text).protocol), {
    message: 'expected an address beginning with http:// or https://',
  })
  .refine((text) => !URL.canParse(text) || new URL(text).username === '', {
    message: 'expected an address without a user and password: they could not be sent',
  });
const base64url = z.string().regex(/^[A-Za-z0-9_-]+=*$/);
/** What a browser hands out when it is asked to receive messages. */
const subscriptionSchema = z.object({
  endpoint: webhookUrl,
  keys: z.object({ p256dh: base64url.max(200), auth: base64url.max(100) }),
});

const mailMethod = z.strictObject({ kind: z.literal('mail'), address });
const webhookMethod = z.strictObject({
  kind: z.literal('webhook'),
  url: webhookUrl,
  /** true: it may lie on this computer itself, also once an owner password is set; the owner's word */
  ownAddresses: z.boolean().optional(),
});
const pushMethod = z.strictObject({
  kind: z.literal('push'),
  /** which browser, in words */
  name: nameSchema,
  subscription: subscriptionSchema,
});

/** How a person is reached. */
export const newContactMethodSchema = z.discriminatedUnion('kind', [mailMethod, webhookMethod, pushMethod]);

export const escalationSchema = z
  .strictObject({
    /** whom, and so many minutes after the alarm without an acknowledgement; the first is called at once */
    steps: z
      .array(z.strictObject({ personId: z.number().int(), afterMin: z.number().min(0).max(1_440) }))
      .max(50),
    /** minutes after which a high alarm is sent again, until somebody acknowledges */
    repeatMin: z.number().int().min(1).max(240),
    /** when the morning sheet is sent: what can wait, in one message */
    morningAt: clockTimeSchema,
  })
  .refine(({ steps }) => new Set(steps.map(({ personId }) => personId)).size === steps.length, {
    message: 'each person can stand on the ladder once',
    path: ['steps'],
  })
  .refine(({ steps }) => steps.every(({ afterMin }, i) => afterMin >= (steps[i - 1]?.afterMin ?? 0)), {
    message: 'each person must come as late as the one before, or later',
    path: ['steps'],
  });

export type Quiet = z.infer<typeof quietSchema>;
export type PersonPatch = z.infer<typeof personPatchSchema>;
export type NewContactMethod = z.infer<typeof newContactMethodSchema>;
export type Escalation = Output<typeof escalationSchema>;

export type ContactMethodKind = NewContactMethod['kind'];
export const CONTACT_METHOD_KINDS: readonly ContactMethodKind[] = newContactMethodSchema.options.map(
  ({ shape }) => shape.kind.value,
);

/** Everybody who may be notified, and in which order. */
export type Roster = { readonly people: readonly Person[]; readonly ladder: Escalation };

/** The escalation of a new installation. Common practice, no source. */
export const DEFAULT_ESCALATION: Escalation = { steps: [], repeatMin: 5, morningAt: '07:00' };

/** The escalation as it is stored; `defaulted` where it could not be read, and that of a new installation holds. */
export function readEscalation(text: string): { readonly ladder: Escalation; readonly defaulted: boolean } {
  const read = escalationSchema.safeParse(jsonOf(text));
  return read.success
    ? { ladder: read.data, defaulted: false }
    : { ladder: DEFAULT_ESCALATION, defaulted: true };
}

/** The contact method of the webhook that the settings name: it is sent everything, and belongs to nobody. */
export const INSTALLATION_WEBHOOK_ID = 0;

/** What an acknowledgement link says: which raising of which alarm, for whom, until when, and its own name. */
export const answerLinkSchema = z.strictObject({
  id: z.string(),
  alarmId: z.string(),
  raisedMs: z.number(),
  personId: z.number(),
  expiresMs: z.number(),
});
export type AnswerLink = z.infer<typeof answerLinkSchema>;

const withId = { id: z.number() };
export const contactMethodSchema = z
  .discriminatedUnion('kind', [
    mailMethod.extend(withId),
    webhookMethod.extend(withId),
    pushMethod.extend(withId),
  ])
  .meta({ id: 'Way' });
export type ContactMethod = Output<typeof contactMethodSchema>;

export const personSchema = personPatchSchema
  .extend({ id: z.number(), ways: z.array(contactMethodSchema) })
  .meta({ id: 'Person' });
export type Person = Output<typeof personSchema>;
