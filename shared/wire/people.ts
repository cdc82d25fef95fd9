import { z } from 'zod';
import type { Output } from '../model/output.ts';
import {
  CONTACT_METHOD_KINDS,
  contactMethodSchema,
  escalationSchema,
  personSchema,
} from '../model/people/people.ts';
import { weeklyTestSchema } from '../model/people/weekly-test.ts';
import { linkAboutSchema } from './answer.ts';
import { morningSheetSchema } from './morning-sheet.ts';

/** Why a contact method of a restored record may reach nobody. */
export const GAP_REASONS = ['push-keys', 'webhook-secret', 'no-mail-server', 'no-webhook-url'] as const;
export type GapReason = (typeof GAP_REASONS)[number];

/** Why a message is held back: quiet hours, low priority, or a flood of alarms that goes out as one message. */
const HELD_REASONS = ['quiet-hours', 'morning-sheet', 'many-alarms'] as const;
export type HeldReason = (typeof HELD_REASONS)[number];

/** `failed`: not taken so far, and tried again at `nextAt`. */
const DELIVERY_STATES = ['waiting', 'sent', 'failed', 'given-up'] as const;

/** What every message to people holds, whatever the contact method; webhooks are sent it whole. */
export const noticeSchema = z.looseObject({
  type: z.string(),
  timestamp: z.string(),
  data: z.looseObject({
    subject: z.string(),
    message: z.string(),
    /** where it is acknowledged, or null */
    answer: z.string().nullable(),
    /** the same on the page's own address, for those who are on it */
    answerPath: z.string().nullable(),
    alarm: z
      .looseObject({
        id: z.string(),
        priority: z.enum(['high', 'medium', 'low']),
        raisedAtMs: z.number().nullable(),
      })
      .nullable(),
    /** of a morning sheet that goes by mail: the night as the page shows it */
    sheet: morningSheetSchema.optional(),
  }),
});
export type Notice = z.infer<typeof noticeSchema>;

const contactMethodFailureSchema = z
  .strictObject({ wayId: z.number(), since: z.string(), error: z.string() })
  .meta({ id: 'WayFailure', description: 'A way that does not take messages now; times in RFC 3339.' });

const restoreGapViewSchema = z
  .strictObject({ wayId: z.number(), why: z.enum(GAP_REASONS), since: z.string() })
  .meta({
    id: 'RestoreGapView',
    description: 'A contact method that a restore left without what it needs; since when, in RFC 3339.',
  });
export type RestoreGapView = Output<typeof restoreGapViewSchema>;

const weeklyTestAnswerSchema = weeklyTestSchema.extend({ nextAt: z.string().nullable() }).meta({
  id: 'WeeklyTestAnswer',
  description: 'The weekly test as it is set, and when it is sent next; null while it is off.',
});
export type WeeklyTestAnswer = Output<typeof weeklyTestAnswerSchema>;

export const testViewSchema = z
  .strictObject({
    id: z.number(),
    personId: z.number(),
    wayId: z.number(),
    cause: z.enum(['weekly', 'asked']),
    error: z.string().nullable(),
    givenUp: z.boolean(),
    at: z.string(),
    confirmBy: z.string(),
    takenAt: z.string().nullable(),
    confirmedAt: z.string().nullable(),
  })
  .meta({
    id: 'TestView',
    description: 'A test message and its result; times in RFC 3339, null when it has not happened.',
  });
export type TestView = Output<typeof testViewSchema>;

export const peopleAnswerSchema = z
  .strictObject({
    people: z.array(personSchema),
    ladder: escalationSchema,
    can: z
      .record(z.enum(CONTACT_METHOD_KINDS), z.boolean())
      .describe('which kinds of way this installation can use'),
    pushKey: z.string().nullable().describe('the key browsers subscribe with, base64url'),
    links: z.boolean().describe('whether messages carry a link by which they are acknowledged'),
    failing: z.array(contactMethodFailureSchema),
    restoreGaps: z.array(restoreGapViewSchema).describe('contact methods to set up again after a restore'),
    weeklyTest: weeklyTestAnswerSchema,
    tests: z.array(testViewSchema).describe('the last of each way, newest first'),
  })
  .meta({ id: 'PeopleAnswer' });
export type PeopleAnswer = Output<typeof peopleAnswerSchema>;

export const contactMethodAnswerSchema = z
  .strictObject({ way: contactMethodSchema })
  .meta({ id: 'WayAnswer' });

export const testsAnswerSchema = z
  .strictObject({ tests: z.array(testViewSchema) })
  .meta({ id: 'TestsAnswer' });

const deliveryViewSchema = z
  .strictObject({
    id: z.number(),
    to: z.string().describe('who, and by which way'),
    type: z.string().describe('what it says: alarm.raised, alarm.repeated, alarm.returned, …'),
    state: z.enum(DELIVERY_STATES),
    at: z.string(),
    sentAt: z.string().nullable(),
    nextAt: z.string().nullable(),
    attempts: z.number(),
    error: z.string().nullable(),
  })
  .meta({
    id: 'DeliveryView',
    description: 'A message about an alarm on its way to somebody; times in RFC 3339.',
  });
export type DeliveryView = Output<typeof deliveryViewSchema>;

const heldViewSchema = z
  .strictObject({
    to: z.string().describe('whom'),
    why: z.enum(HELD_REASONS),
    until: z.string(),
  })
  .meta({
    id: 'HeldView',
    description: 'A message about an alarm that is held back: to whom, why, and until when, in RFC 3339.',
  });
export type HeldView = Output<typeof heldViewSchema>;

export const messagesAnswerSchema = z
  .strictObject({
    messages: z.array(deliveryViewSchema),
    held: z.array(heldViewSchema).describe('messages that are held back now'),
  })
  .meta({ id: 'MessagesAnswer' });

const LINK_STATES = ['good', 'forged', 'expired', 'spent', 'over'] as const;
export const linkViewSchema = z
  .strictObject({
    state: z.enum(LINK_STATES),
    headline: z.string(),
    words: z.string(),
    ask: z
      .strictObject({ button: z.string(), means: z.string() })
      .nullable()
      .describe('what is asked, and what saying yes means; null when there is nothing to ask'),
    about: linkAboutSchema.nullable().describe('the alarm it is about; null where the link may not show it'),
  })
  .meta({ id: 'LinkView', description: 'What a link of a message is about.' });
export type LinkView = Output<typeof linkViewSchema>;
export type LinkState = LinkView['state'];
