import { Fault } from '../../../shared/faults.ts';
import type { ContactMethod, NewContactMethod, Person } from '../../../shared/model/people/people.ts';
import type { DeliveryView, PeopleAnswer } from '../../../shared/wire/people.ts';
import { strangerOn, withNewcomer, withoutPerson } from '../../domain/people/roster.ts';
import type { Carrier, ContactMethodAt, PeopleService, SentMessage } from '../../ports.ts';
import { heldMessages } from '../notify/messages/held.ts';
import { gapViews } from '../notify/restore-gaps.ts';
import { requireAlarm } from '../readout/queries.ts';
import { createAnswers } from './answers.ts';
import { commit, type OrderContext } from './orders.ts';
import { createTestService, testsAnswer } from './test-service.ts';

/** Messages about an alarm that are shown, the newest. */
const MESSAGES_SHOWN = 100;
/** Most people, and contact methods of one, that are kept. */
const MOST_PEOPLE = 50;
const MAX_CONTACT_METHODS = 10;

/** What the edges know about contact methods. */
export type ContactMethods = {
  readonly carrier: Carrier;
  readonly installationWebhook: Extract<NewContactMethod, { kind: 'webhook' }> | null;
  readonly can: ReturnType<PeopleService['answer']>['can'];
  readonly pushKey: string | null;
  /** as it is shown */
  readonly webhookSecret: string;
  /** whether it leads to this computer itself by its very words, where that needs the owner's word */
  readonly isOwnHost: (method: NewContactMethod) => boolean;
};

/** Answers and carries out what is asked about the people who are notified. */
export function createPeopleService(context: OrderContext, methods: ContactMethods): PeopleService {
  const { store } = context;
  return {
    answer: () => peopleAnswer(context, methods),
    ...peopleOrders(context),
    ...contactMethodOrders(context, methods),
    ...createTestService(context, (at) => personTo(at, context)),
    messages(alarmId) {
      requireAlarm(context.world, alarmId);
      return store.outbox.ofAlarm(alarmId, MESSAGES_SHOWN).map(deliveryView);
    },
    held: (alarmId) =>
      heldMessages(requireAlarm(context.world, alarmId), { ...context, nowMs: context.clock.nowMs() }),
    webhookSecret: () => methods.webhookSecret,
    ...createAnswers(context),
  };
}

function peopleAnswer(context: OrderContext, { can, pushKey }: ContactMethods): PeopleAnswer {
  const { store, settings } = context;
  const failing = store.people
    .failing()
    .map(({ wayId, sinceMs, error }) => ({ wayId, error, since: new Date(sinceMs).toISOString() }));
  const { publicUrl } = settings.links;
  return {
    ...store.people.roster(),
    can,
    pushKey,
    links: publicUrl !== null,
    failing,
    restoreGaps: gapViews(store),
    ...testsAnswer(context),
  };
}

/** Keeps a change; who is now to be called is called at the next turn. */
function change<T>(context: OrderContext, work: () => T): T {
  return commit(context, () => {
    const result = work();
    context.store.people.checkAgainAt(context.clock.nowMs());
    return result;
  });
}

function peopleOrders(
  context: OrderContext,
): Pick<PeopleService, 'add' | 'update' | 'remove' | 'setEscalation'> {
  const { people } = context.store;
  return {
    add: (person) =>
      change(context, () => {
        requireRoom(people.roster().people.length, MOST_PEOPLE, 'people');
        const added = people.add(person);
        people.setEscalation(withNewcomer(people.roster().ladder, added.id));
        return added;
      }),
    update: (personId, patch) =>
      change(context, () => {
        found(people.update(personId, patch), `no person ${personId}`);
        return requirePerson(personId, context);
      }),
    remove: (personId) =>
      change(context, () => {
        for (const method of requirePerson(personId, context).ways) forget(method.id, context);
        people.remove(personId);
        people.setEscalation(withoutPerson(people.roster().ladder, personId));
      }),
    setEscalation: (escalation) =>
      change(context, () => {
        const stranger = strangerOn(escalation, people.roster());
        const message = `There is no person ${stranger} to stand on the ladder.`;
        if (stranger !== null) throw new Fault({ code: 'bad-request', message, details: { field: 'steps' } });
        people.setEscalation(escalation);
      }),
  };
}

type ContactMethodOrders = Pick<
  PeopleService,
  'addContactMethod' | 'updateContactMethod' | 'removeContactMethod'
>;

function contactMethodOrders(context: OrderContext, methods: ContactMethods): ContactMethodOrders {
  const { people, restoreGaps } = context.store;
  return {
    addContactMethod: (personId, method) =>
      change(context, () => {
        requireAllowed(method, { context, ways: methods });
        const person = requirePerson(personId, context);
        replaceDead(person, method, context);
        requireRoom(requirePerson(personId, context).ways.length, MAX_CONTACT_METHODS, 'ways of one person');
        return people.addContactMethod(personId, method);
      }),
    updateContactMethod: (at, method) =>
      change(context, () => {
        requireAllowed(method, { context, ways: methods });
        requireContactMethod(at, context);
        restoreGaps.close(at.wayId);
        people.updateContactMethod(at, method);
        people.noteTaken(at.wayId);
        context.store.pathTests.forgetContactMethod(at.wayId);
        return requireContactMethod(at, context).way;
      }),
    removeContactMethod: (at) =>
      change(context, () => {
        requireContactMethod(at, context);
        forget(at.wayId, context);
        people.removeContactMethod(at);
      }),
  };
}

type Allowing = { readonly context: OrderContext; readonly ways: ContactMethods };

/** This computer's own addresses are the owner's to allow, once there is one. */
function requireAllowed(method: NewContactMethod, { context, ways: methods }: Allowing): void {
  if (method.kind === 'mail' || method.kind === 'push') return;
  const details = { field: 'ownAddresses' };
  if (method.ownAddresses !== true && methods.isOwnHost(method)) {
    const message =
      `${new URL(method.url).hostname} is this computer itself. Give the address of another computer, or tick ` +
      '"Allow this computer’s own addresses" ("ownAddresses": true).';
    throw new Fault({ code: 'bad-request', message, details });
  }
  if (method.ownAddresses !== true || context.store.access.owned()) return;
  const message = 'Without an owner password every address is allowed. Leave "ownAddresses" out.';
  throw new Fault({ code: 'bad-request', message, details });
}

/** A browser that is added again after a restore takes the place of what it was before. */
function replaceDead(person: Person, method: NewContactMethod, context: OrderContext): void {
  if (method.kind !== 'push') return;
  const { people, restoreGaps } = context.store;
  const gaps = new Set(restoreGaps.all().flatMap(({ wayId, why }) => (why === 'push-keys' ? [wayId] : [])));
  const dead = person.ways.find((one) => one.kind === 'push' && one.name === method.name && gaps.has(one.id));
  if (dead === undefined) return;
  forget(dead.id, context);
  people.removeContactMethod({ personId: person.id, wayId: dead.id });
}

/** A contact method that is no more neither fails nor is waited for. */
function forget(wayId: number, { store }: OrderContext): void {
  store.people.noteTaken(wayId);
  store.outbox.abandonContactMethod(wayId, 'this way was taken away');
  store.pathTests.forgetContactMethod(wayId);
  store.restoreGaps.close(wayId);
}

/** A person with one contact method, or all of them. */
function personTo(at: Parameters<PeopleService['testNow']>[0], context: OrderContext): Person {
  if (at.wayId === null) return requirePerson(at.personId, context);
  const { person, way: method } = requireContactMethod({ ...at, wayId: at.wayId }, context);
  return { ...person, ways: [method] };
}

function deliveryView(message: SentMessage): DeliveryView {
  const { id, recipient, kind, attempts, lastError } = message;
  const iso = (ms: number | null) => (ms === null ? null : new Date(ms).toISOString());
  const waits = message.state === 'waiting';
  const state = {
    waiting: attempts > 0 ? 'failed' : 'waiting',
    sent: 'sent',
    abandoned: 'given-up',
  } as const;
  return {
    id,
    to: recipient,
    type: kind,
    state: state[message.state],
    attempts,
    error: lastError,
    at: new Date(message.createdMs).toISOString(),
    sentAt: iso(message.sentMs),
    nextAt: iso(waits ? message.nextAtMs : null),
  };
}

function requirePerson(personId: number, { store }: OrderContext): Person {
  const person = store.people.roster().people.find(({ id }) => id === personId);
  return person ?? found(false, `no person ${personId}`);
}

function requireContactMethod(
  { personId, wayId }: ContactMethodAt,
  context: OrderContext,
): { person: Person; way: ContactMethod } {
  const person = requirePerson(personId, context);
  const method = person.ways.find(({ id }) => id === wayId);
  return method ? { person, way: method } : found(false, `no way ${wayId} to ${person.name}`);
}

function requireRoom(count: number, most: number, what: string): void {
  if (count < most) return;
  throw new Fault({
    code: 'bad-request',
    message: `There are ${most} ${what} already, the most that are kept.`,
  });
}

function found(is: false, what: string): never;
function found(is: boolean, what: string): void;
function found(is: boolean, what: string): void {
  if (is) return;
  throw new Fault({ code: 'not-found', message: `There is ${what}; GET /api/v1/people lists them.` });
}
