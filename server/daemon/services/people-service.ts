import { Fault } from '../../../shared/faults.ts';
import type { NewWay, Person, Way } from '../../../shared/model/people/people.ts';
import type { DeliveryView, PeopleAnswer } from '../../../shared/wire/people.ts';
import { strangerOn, withNewcomer, withoutPerson } from '../../domain/people/roster.ts';
import type { Carrier, PeopleDesk, SentMessage, WayAt } from '../../ports.ts';
import { gapViews } from '../notify/restore-gaps.ts';
import { requireAlarm } from '../readout/queries.ts';
import { createAnswers } from './answers.ts';
import { commit, type OrderContext } from './orders.ts';
import { createTestDesk, testsAnswer } from './test-service.ts';

/** Messages about an alarm that are shown, the newest. */
const MESSAGES_SHOWN = 100;
/** Most people, and ways of one, that are kept. */
export const MOST_PEOPLE = 50;
export const MOST_WAYS = 10;

/** What the edges know about ways. */
export type Ways = {
  readonly carrier: Carrier;
  readonly houseWay: Extract<NewWay, { kind: 'webhook' }> | null;
  readonly can: ReturnType<PeopleDesk['answer']>['can'];
  readonly pushKey: string | null;
  /** as it is shown */
  readonly webhookSecret: string;
  /** whether it leads to this computer itself by its very words, where that needs the owner's word */
  readonly isOwnHost: (way: NewWay) => boolean;
};

/** Answers and carries out what is asked about the people who are told. */
export function createPeopleDesk(context: OrderContext, ways: Ways): PeopleDesk {
  const { store } = context;
  return {
    answer: () => peopleAnswer(context, ways),
    ...peopleOrders(context),
    ...wayOrders(context, ways),
    ...createTestDesk(context, (at) => personTo(at, context)),
    messages(alarmId) {
      requireAlarm(context.world, alarmId);
      return store.outbox.ofAlarm(alarmId, MESSAGES_SHOWN).map(deliveryView);
    },
    webhookSecret: () => ways.webhookSecret,
    ...createAnswers(context),
  };
}

function peopleAnswer(context: OrderContext, { can, pushKey }: Ways): PeopleAnswer {
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

/** Keeps a change; whoever is now to be called is called at the next turn. */
function change<T>(context: OrderContext, work: () => T): T {
  return commit(context, () => {
    const result = work();
    context.store.people.lookAgainAt(context.clock.nowMs());
    return result;
  });
}

function peopleOrders(context: OrderContext): Pick<PeopleDesk, 'add' | 'update' | 'remove' | 'setLadder'> {
  const { people } = context.store;
  return {
    add: (person) =>
      change(context, () => {
        requireRoom(people.roster().people.length, MOST_PEOPLE, 'people');
        const added = people.add(person);
        people.setLadder(withNewcomer(people.roster().ladder, added.id));
        return added;
      }),
    update: (personId, patch) =>
      change(context, () => {
        found(people.update(personId, patch), `no person ${personId}`);
        return requirePerson(personId, context);
      }),
    remove: (personId) =>
      change(context, () => {
        for (const way of requirePerson(personId, context).ways) forget(way.id, context);
        people.remove(personId);
        people.setLadder(withoutPerson(people.roster().ladder, personId));
      }),
    setLadder: (ladder) =>
      change(context, () => {
        const stranger = strangerOn(ladder, people.roster());
        const message = `There is no person ${stranger} to stand on the ladder.`;
        if (stranger !== null) throw new Fault({ code: 'bad-request', message, details: { field: 'steps' } });
        people.setLadder(ladder);
      }),
  };
}

type WayOrders = Pick<PeopleDesk, 'addWay' | 'updateWay' | 'removeWay'>;

function wayOrders(context: OrderContext, ways: Ways): WayOrders {
  const { people, restoreGaps } = context.store;
  return {
    addWay: (personId, way) =>
      change(context, () => {
        requireAllowed(way, { context, ways });
        const person = requirePerson(personId, context);
        replaceDead(person, way, context);
        requireRoom(requirePerson(personId, context).ways.length, MOST_WAYS, 'ways of one person');
        return people.addWay(personId, way);
      }),
    updateWay: (at, way) =>
      change(context, () => {
        requireAllowed(way, { context, ways });
        requireWay(at, context);
        restoreGaps.close(at.wayId);
        people.updateWay(at, way);
        people.noteTaken(at.wayId);
        context.store.pathTests.forgetWay(at.wayId);
        return requireWay(at, context).way;
      }),
    removeWay: (at) =>
      change(context, () => {
        requireWay(at, context);
        forget(at.wayId, context);
        people.removeWay(at);
      }),
  };
}

type Allowing = { readonly context: OrderContext; readonly ways: Ways };

/** This computer's own addresses are the owner's to allow, once there is one. */
function requireAllowed(way: NewWay, { context, ways }: Allowing): void {
  if (way.kind !== 'webhook') return;
  const details = { field: 'ownAddresses' };
  if (way.ownAddresses !== true && ways.isOwnHost(way)) {
    const message =
      `${new URL(way.url).hostname} is this computer itself. Give the address of another computer, or tick ` +
      '"Allow this computer’s own addresses" ("ownAddresses": true).';
    throw new Fault({ code: 'bad-request', message, details });
  }
  if (way.ownAddresses !== true || context.store.access.owned()) return;
  const message = 'Without an owner password every address is allowed. Leave "ownAddresses" out.';
  throw new Fault({ code: 'bad-request', message, details });
}

/** A browser that is added again after a restore takes the place of what it was before. */
function replaceDead(person: Person, way: NewWay, context: OrderContext): void {
  if (way.kind !== 'push') return;
  const { people, restoreGaps } = context.store;
  const gaps = new Set(restoreGaps.all().flatMap(({ wayId, why }) => (why === 'push-keys' ? [wayId] : [])));
  const dead = person.ways.find((one) => one.kind === 'push' && one.name === way.name && gaps.has(one.id));
  if (dead === undefined) return;
  forget(dead.id, context);
  people.removeWay({ personId: person.id, wayId: dead.id });
}

/** A way that is no more neither fails nor is waited for. */
function forget(wayId: number, { store }: OrderContext): void {
  store.people.noteTaken(wayId);
  store.outbox.abandonWay(wayId, 'this way was taken away');
  store.pathTests.forgetWay(wayId);
  store.restoreGaps.close(wayId);
}

/** A person with one way, or all of them. */
function personTo(at: Parameters<PeopleDesk['testNow']>[0], context: OrderContext): Person {
  if (at.wayId === null) return requirePerson(at.personId, context);
  const { person, way } = requireWay({ ...at, wayId: at.wayId }, context);
  return { ...person, ways: [way] };
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

function requireWay({ personId, wayId }: WayAt, context: OrderContext): { person: Person; way: Way } {
  const person = requirePerson(personId, context);
  const way = person.ways.find(({ id }) => id === wayId);
  return way ? { person, way } : found(false, `no way ${wayId} to ${person.name}`);
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
