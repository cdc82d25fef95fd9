import type {
  AnswerLink,
  Ladder,
  NewWay,
  Person,
  PersonPatch,
  Roster,
  Way,
} from '../../../shared/model/people/people.ts';
import type { WeeklyTest } from '../../../shared/model/people/weekly-test.ts';
import type { DeliveryView, LinkView, PeopleAnswer, TestView } from '../../../shared/wire/people.ts';
import type { Calling } from '../../domain/people/ladder.ts';
import type { OutboxMessage } from './outbox.ts';

export type { LinkState, LinkView } from '../../../shared/wire/people.ts';

/** A way that did not take its last message; `attempts` is the most of one message, `forGood`: it never will. */
export type FailingWay = {
  readonly wayId: number;
  readonly sinceMs: number;
  readonly attempts: number;
  readonly error: string;
  readonly forGood: boolean;
};

/** Who is told, in which order, and what they were told. */
export type People = {
  roster(): Roster;
  add(person: PersonPatch): Person;
  /** @returns false when there is no such person */
  update(personId: number, patch: PersonPatch): boolean;
  /** Removes a person with all ways. @returns false when there is none */
  remove(personId: number): boolean;
  addWay(personId: number, way: NewWay): Way;
  /** @returns false when the person has no such way */
  updateWay(at: WayAt, way: NewWay): boolean;
  removeWay(at: WayAt): boolean;
  setLadder(ladder: Ladder): void;
  /** What has been told of an alarm. */
  calling(alarmId: string): Calling | null;
  saveCalling(alarmId: string, calling: Calling, lookAgainMs: number | null): void;
  /** Ids of alarms whose calls are to be looked at again. */
  dueCallings(nowMs: number): string[];
  /** All of them, when somebody or the ladder changed. */
  lookAgainAt(atMs: number): void;
  /** Day of the last morning sheet, YYYY-MM-DD. */
  sheetDay(): string | null;
  setSheetDay(day: string): void;
  failing(): FailingWay[];
  noteFailure(failure: FailingWay): void;
  noteTaken(wayId: number): void;
  /** @returns false when the link was spent before */
  spendLink(link: AnswerLink, nowMs: number): boolean;
  isSpent(linkId: string): boolean;
};

export type WayAt = { readonly personId: number; readonly wayId: number };

/**
 * The result of handing a message over; `forGood`: trying again is of no use; `retryAfter`: when the receiver asks to be
 * tried again, as it wrote it.
 */
export type Delivery =
  | { readonly taken: true }
  | {
      readonly taken: false;
      readonly error: string;
      readonly forGood: boolean;
      readonly retryAfter?: string | null;
    };

/** Hands messages over, by whatever way; never throws. What is under way is let go when the signal says so. */
export type Carrier = {
  send(way: NewWay, message: OutboxMessage, signal: AbortSignal): Promise<Delivery>;
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

/** What is asked and ordered about the people who are told. Each throws Fault `not-found` or `bad-request`. */
export type PeopleDesk = {
  answer(): PeopleAnswer;
  add(person: PersonPatch): Person;
  update(personId: number, patch: PersonPatch): Person;
  remove(personId: number): void;
  addWay(personId: number, way: NewWay): Way;
  updateWay(at: WayAt, way: NewWay): Way;
  removeWay(at: WayAt): void;
  /** Puts out a test message now, by one way or, `wayId` null, by all; none by a way that is still being tried. */
  testNow(at: { readonly personId: number; readonly wayId: number | null }): TestView[];
  /** Somebody says that a test arrived. */
  confirmTest(testId: number): TestView;
  setWeeklyTest(weekly: WeeklyTest): void;
  setLadder(ladder: Ladder): void;
  messages(alarmId: string): DeliveryView[];
  /** The secret by which receivers of webhooks know that a message comes from here, as they are given it. */
  webhookSecret(): string;
  look(token: string): LinkView;
  /** Acknowledges an alarm, or confirms a test, by a link. */
  follow(token: string): LinkView;
};
