import type {
  AnswerLink,
  ContactMethod,
  Escalation,
  NewContactMethod,
  Person,
  PersonPatch,
  Roster,
} from '../../../shared/model/people/people.ts';
import type { WeeklyTest } from '../../../shared/model/people/weekly-test.ts';
import type {
  DeliveryView,
  HeldView,
  LinkView,
  PeopleAnswer,
  TestView,
} from '../../../shared/wire/people.ts';
import type { Calling } from '../../domain/people/escalation.ts';
import type { OutboxMessage } from './outbox.ts';

export type { LinkState, LinkView } from '../../../shared/wire/people.ts';

/** A contact method that did not deliver its last message; `attempts` is the most of one message, `forGood`: it never will. */
export type FailingContactMethod = {
  readonly wayId: number;
  readonly sinceMs: number;
  readonly attempts: number;
  readonly error: string;
  readonly forGood: boolean;
};

/** Who is notified, in which order, and what they were sent. */
export type People = {
  roster(): Roster;
  add(person: PersonPatch): Person;
  /** @returns false when there is no such person */
  update(personId: number, patch: PersonPatch): boolean;
  /** Removes a person with all contact methods. @returns false when there is none */
  remove(personId: number): boolean;
  addContactMethod(personId: number, method: NewContactMethod): ContactMethod;
  /** @returns false when the person has no such contact method */
  updateContactMethod(at: ContactMethodAt, method: NewContactMethod): boolean;
  removeContactMethod(at: ContactMethodAt): boolean;
  setEscalation(escalation: Escalation): void;
  /** What has been announced of an alarm. */
  calling(alarmId: string): Calling | null;
  saveCalling(alarmId: string, calling: Calling, checkAgainMs: number | null): void;
  /** Ids of alarms whose calls are to be checked again. */
  dueCallings(nowMs: number): string[];
  /** All of them, when somebody or the escalation changed. */
  checkAgainAt(atMs: number): void;
  /** Day of the last morning sheet, YYYY-MM-DD. */
  morningSheetDay(): string | null;
  setMorningSheetDay(day: string): void;
  failing(): FailingContactMethod[];
  noteFailure(failure: FailingContactMethod): void;
  noteTaken(wayId: number): void;
  /** @returns false when the link was spent before */
  useLinkOnce(link: AnswerLink, nowMs: number): boolean;
  isLinkUsed(linkId: string): boolean;
};

export type ContactMethodAt = { readonly personId: number; readonly wayId: number };

/**
 * The result of handing a message over; `forGood`: trying again is of no use; `retryAfter`: when the receiver asks to be
 * tried again, as it wrote it.
 */
export type Delivery =
  | { readonly delivered: true }
  | {
      readonly delivered: false;
      readonly error: string;
      readonly forGood: boolean;
      readonly retryAfter?: string | null;
    };

/** Hands messages over, by whatever contact method; never throws. What is under way is let go when the signal says so. */
export type Carrier = {
  send(method: NewContactMethod, message: OutboxMessage, signal: AbortSignal): Promise<Delivery>;
};

/** A request to somebody outside. */
export type HttpRequest = {
  readonly url: string;
  readonly method: 'GET' | 'POST';
  readonly headers: Readonly<Record<string, string>>;
  readonly body: string | Uint8Array;
  /** lets the connection go */
  readonly signal: AbortSignal;
  /** whether it may go to this computer itself */
  readonly ownAddresses: boolean;
};
export type HttpAnswer = { readonly status: number; readonly retryAfter: string | null };
/** Sends a request and reads the head of the answer; rejects when there is none. */
export type SendHttp = (request: HttpRequest) => Promise<HttpAnswer>;

/** Signs short texts, and knows again what it signed. */
export type Seal = { sign(text: string): string; read(token: string): string | null };

/** What is asked and ordered about the people who are notified. Each throws Fault `not-found` or `bad-request`. */
export type PeopleService = {
  answer(): PeopleAnswer;
  add(person: PersonPatch): Person;
  update(personId: number, patch: PersonPatch): Person;
  remove(personId: number): void;
  addContactMethod(personId: number, method: NewContactMethod): ContactMethod;
  updateContactMethod(at: ContactMethodAt, method: NewContactMethod): ContactMethod;
  removeContactMethod(at: ContactMethodAt): void;
  /** Sends a test message now, by one contact method or, `wayId` null, by all; none by a contact method that is still being tried. */
  testNow(at: { readonly personId: number; readonly wayId: number | null }): TestView[];
  /** Somebody says that a test arrived. */
  confirmTest(testId: number): TestView;
  setWeeklyTest(weekly: WeeklyTest): void;
  setEscalation(escalation: Escalation): void;
  messages(alarmId: string): DeliveryView[];
  /** Messages about an alarm that are held back now. */
  held(alarmId: string): HeldView[];
  /** The secret by which receivers of webhooks know that a message comes from here, as they are given it. */
  webhookSecret(): string;
  view(token: string): LinkView;
  /** Acknowledges an alarm, or confirms a test, by a link. */
  follow(token: string): LinkView;
};
