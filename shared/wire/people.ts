import { z } from 'zod';
import type { Ladder, Person, Way, WayKind } from '../model/people.ts';
import type { PathTest, WeeklyTest } from '../model/weekly-test.ts';

/** A way that does not take messages now; times in RFC 3339. */
export type WayFailure = { readonly wayId: number; readonly since: string; readonly error: string };

/** Why a contact method of a restored record may reach nobody. */
export const GAP_REASONS = ['push-keys', 'webhook-secret', 'no-mail-server', 'no-webhook-url'] as const;
export type GapReason = (typeof GAP_REASONS)[number];
/** A contact method that a restore left without what it needs; since when, in RFC 3339. */
export type RestoreGapView = { readonly wayId: number; readonly why: GapReason; readonly since: string };

export type PeopleAnswer = {
  readonly people: readonly Person[];
  readonly ladder: Ladder;
  /** which kinds of way this installation can use */
  readonly can: Readonly<Record<WayKind, boolean>>;
  /** the key browsers subscribe with, base64url */
  readonly pushKey: string | null;
  /** whether messages carry a link by which they are acknowledged */
  readonly links: boolean;
  readonly failing: readonly WayFailure[];
  /** contact methods to set up again after a restore */
  readonly restoreGaps: readonly RestoreGapView[];
  readonly weeklyTest: WeeklyTestAnswer;
  /** the last of each way, newest first */
  readonly tests: readonly TestView[];
};

export type WayAnswer = { readonly way: Way };

/** The weekly test as it is set, and when it is sent next; null while it is off. */
export type WeeklyTestAnswer = WeeklyTest & { readonly nextAt: string | null };

/** A test message and what came of it; times in RFC 3339, null when it has not happened. */
export type TestView = Pick<PathTest, 'id' | 'personId' | 'wayId' | 'cause' | 'error' | 'givenUp'> & {
  readonly at: string;
  readonly confirmBy: string;
  readonly takenAt: string | null;
  readonly confirmedAt: string | null;
};
export type TestsAnswer = { readonly tests: readonly TestView[] };

/** `failed`: not taken so far, and tried again at `nextAt`. */
export const DELIVERY_STATES = ['waiting', 'sent', 'failed', 'given-up'] as const;
export type DeliveryState = (typeof DELIVERY_STATES)[number];

/** A message about an alarm on its way to somebody; times in RFC 3339. */
export type DeliveryView = {
  readonly id: number;
  /** who, and by which way */
  readonly to: string;
  /** what it says: alarm.raised, alarm.repeated, alarm.returned, … */
  readonly type: string;
  readonly state: DeliveryState;
  readonly at: string;
  readonly sentAt: string | null;
  readonly nextAt: string | null;
  readonly attempts: number;
  readonly error: string | null;
};

export type MessagesAnswer = { readonly messages: readonly DeliveryView[] };

/** What every message to people holds, whatever the way; webhooks are sent it whole. */
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
  }),
});
export type Notice = z.infer<typeof noticeSchema>;
