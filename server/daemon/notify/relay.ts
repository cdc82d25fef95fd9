import {
  INSTALLATION_WEBHOOK_ID,
  type NewContactMethod,
  type Roster,
} from '../../../shared/model/people/people.ts';
import { hostOf, type Load, nextLoads } from '../../domain/outbox/lanes.ts';
import { retryAfterMs } from '../../domain/outbox/retry-after.ts';
import { nextAttemptMs } from '../../domain/outbox/schedule.ts';
import type { Carrier, Clock, Delivery, Log, OutboxMessage, Store, Timers } from '../../ports.ts';

/** Messages of one contact method that are checked in one turn. */
const BATCH = 20;
/** How long what is under way may take to end once the daemon stops, ms; it is broken off then, and sent again at the next start. */
const STOP_GRACE_MS = 3_000;
const REMOVED = 'this way was taken away';

/** Where the webhook of the settings is, or null when none is set. */
type InstallationWebhook = Extract<NewContactMethod, { kind: 'webhook' }> | null;

type RelayDeps = {
  readonly store: Pick<Store, 'outbox' | 'people' | 'pathTests' | 'restoreGaps' | 'carryOn'>;
  readonly carrier: Carrier;
  readonly installationWebhook: InstallationWebhook;
  readonly clock: Clock;
  readonly timers: Pick<Timers, 'after'>;
  readonly log: Log;
};

/** A message with the contact method it goes by. */
type Parcel = Load & { readonly message: OutboxMessage; readonly way: NewContactMethod };
type Sending = Parcel & { readonly startedMs: number };

/**
 * Carries the outbox to people: sends what is due side by side within bounds, high priority first, and tries again what
 * failed. At least once; a receiver knows repeats by the key. No message is under way twice.
 */
export function createRelay(deps: RelayDeps) {
  const { clock, timers } = deps;
  const underWay = new Map<number, Sending>();
  const running = new Set<Promise<void>>();
  const stopping = new AbortController();
  let isStopped = false;

  const attempt = async (parcel: Parcel): Promise<void> => {
    const sending = { ...parcel, startedMs: clock.nowMs() };
    underWay.set(parcel.id, sending);
    try {
      const delivery = await deps.carrier.send(parcel.way, parcel.message, stopping.signal);
      // what was broken off is neither taken nor failed: it is still to be sent
      if (!stopping.signal.aborted) note({ sending, delivery }, deps);
    } finally {
      underWay.delete(parcel.id);
    }
  };
  const begun = async (parcel: Parcel): Promise<void> => {
    const ended = attempt(parcel);
    running.add(ended);
    await ended.finally(() => running.delete(ended));
    await turn();
  };
  const turn = async (): Promise<void> => {
    if (isStopped) return;
    await Promise.all(nextLoads(dueNow(deps), [...underWay.values()]).map(begun));
  };

  return {
    /** Begins what is due; settles once that has ended, and what became due behind it. */
    turn,
    /** When the oldest attempt under way began, ms since epoch; null while none is. */
    oldestMs: () =>
      underWay.size === 0 ? null : Math.min(...[...underWay.values()].map(({ startedMs }) => startedMs)),
    /** Begins nothing any more, waits a little for what is under way, and breaks off the rest. */
    async stop(): Promise<void> {
      isStopped = true;
      const waited = Promise.withResolvers<void>();
      const cancel = timers.after(STOP_GRACE_MS, waited.resolve);
      await Promise.race([Promise.allSettled(running), waited.promise]);
      cancel();
      stopping.abort();
    },
  };
}

/** What is due, with where it goes; what waits for a contact method that was removed is given up. */
function dueNow({ store, clock, installationWebhook }: RelayDeps): Parcel[] {
  const { outbox, people } = store;
  const nowMs = clock.nowMs();
  const wayIds = outbox.dueContactMethods(nowMs);
  if (wayIds.length === 0) return [];
  const methods = new Map<number, NewContactMethod>(
    people.roster().people.flatMap((person) => person.ways.map((method) => [method.id, method])),
  );
  if (installationWebhook !== null) methods.set(INSTALLATION_WEBHOOK_ID, installationWebhook);
  return wayIds.flatMap((wayId) => {
    const method = methods.get(wayId);
    if (method !== undefined)
      return outbox.due({ nowMs, limit: BATCH, wayId }).map((message) => parcel(message, method));
    outbox.abandonContactMethod(wayId, REMOVED);
    return [];
  });
}

function parcel(message: OutboxMessage, method: NewContactMethod): Parcel {
  const { id, wayId, alarmId, priority } = message;
  return { id, wayId, alarmId, priority, host: hostOf(method), message, way: method };
}

type Attempt = { readonly sending: Sending; readonly delivery: Delivery };

/** Notes the result of an attempt, for the message and for the contact method. */
function note({ sending, delivery }: Attempt, deps: RelayDeps): void {
  const { store, clock } = deps;
  const { outbox, people, pathTests, restoreGaps } = store;
  const { id, key, wayId } = sending.message;
  if (!delivery.delivered) {
    noteFailure({ sending, delivery }, deps);
    return;
  }
  const takenMs = clock.nowMs();
  store.carryOn(() => {
    outbox.sent(id, takenMs);
    people.noteTaken(wayId);
    restoreGaps.close(wayId);
    pathTests.noteDelivery({ key, takenMs, error: null, givenUp: false });
  });
}

type Failure = { readonly sending: Sending; readonly delivery: Extract<Delivery, { delivered: false }> };

function noteFailure(
  { sending, delivery }: Failure,
  { store, clock, log, installationWebhook }: RelayDeps,
): void {
  const { outbox, people, pathTests } = store;
  const { id, key, wayId, createdMs } = sending.message;
  const { error, forGood } = delivery;
  const nowMs = clock.nowMs();
  const attempts = sending.message.attempts + 1;
  const notBeforeMs = retryAfterMs(delivery.retryAfter ?? null, nowMs);
  const nextAtMs = forGood ? null : nextAttemptMs({ attempts, createdMs, nowMs, notBeforeMs });
  // it may have been removed meanwhile: then nobody is to read that it fails
  const isKnown =
    wayId === INSTALLATION_WEBHOOK_ID ? installationWebhook !== null : isOn(people.roster(), wayId);
  log.warn('a message was not taken', { key, attempts, error });
  store.carryOn(() => {
    if (nextAtMs === null) outbox.abandon(id, error);
    else outbox.failed({ id, nextAtMs, error });
    pathTests.noteDelivery({ key, takenMs: null, error, givenUp: nextAtMs === null });
    if (isKnown) people.noteFailure({ wayId, sinceMs: sending.startedMs, attempts, error, forGood });
  });
}

function isOn({ people }: Roster, wayId: number): boolean {
  return people.some(({ ways: methods }) => methods.some(({ id }) => id === wayId));
}
