import { HOUSE_WAY_ID, type NewWay } from '../../shared/model/people.ts';
import { retryAfterMs } from '../domain/outbox/retry-after.ts';
import { nextAttemptMs } from '../domain/outbox/schedule.ts';
import type { Carrier, Clock, Delivery, Log, OutboxMessage, Store } from '../ports.ts';

/** Messages sent by one way in one turn, one after the other. */
const BATCH = 20;
/** Ways that send at one time. */
export const MOST_LANES = 64;

/** Where the webhook of the settings is, or null when none is set. */
export type HouseWay = Extract<NewWay, { kind: 'webhook' }> | null;

type RelayDeps = {
  readonly store: Pick<Store, 'outbox' | 'people' | 'pathTests' | 'carryOn'>;
  readonly carrier: Carrier;
  readonly houseWay: HouseWay;
  readonly clock: Clock;
  readonly log: Log;
};

/**
 * Carries the outbox to people: sends what is due, tries again what failed. At least once; a receiver
 * tells repeats by the key. Each way has a lane of its own, so that none waits for another; a lane never overlaps itself.
 */
export function createRelay(deps: RelayDeps) {
  const { store, clock } = deps;
  const { outbox, people } = store;
  const busy = new Set<number>();
  const askedAgain = new Set<number>();

  const wayOf = (wayId: number): NewWay | null => {
    if (wayId === HOUSE_WAY_ID) return deps.houseWay;
    const every = people.roster().people.flatMap(({ ways }) => ways);
    return every.find(({ id }) => id === wayId) ?? null;
  };
  const lane = async (wayId: number) => {
    const way = wayOf(wayId);
    if (!way) return outbox.abandonWay(wayId, 'this way was taken away');
    for (const message of outbox.due({ nowMs: clock.nowMs(), limit: BATCH, wayId })) {
      const delivery = await deps.carrier.send(way, message);
      // it may have been taken away meanwhile: then nobody is to hear that it fails
      note({ message, delivery, isKnown: wayOf(wayId) !== null }, deps);
    }
  };
  const run = async (wayId: number) => {
    busy.add(wayId);
    try {
      do {
        askedAgain.delete(wayId);
        await lane(wayId);
      } while (askedAgain.has(wayId));
    } finally {
      busy.delete(wayId);
    }
  };

  return {
    async turn(): Promise<void> {
      const due = outbox.dueWays(clock.nowMs());
      // what came while a lane was under way must not wait for the next turn
      for (const wayId of due) if (busy.has(wayId)) askedAgain.add(wayId);
      const waiting = due.filter((wayId) => !busy.has(wayId));
      await Promise.all(waiting.slice(0, Math.max(0, MOST_LANES - busy.size)).map(run));
    },
  };
}

type Attempt = {
  readonly message: OutboxMessage;
  readonly delivery: Delivery;
  readonly isKnown: boolean;
};

/** Notes what came of an attempt, for the message and for the way. */
function note({ message, delivery, isKnown }: Attempt, { store, clock, log }: RelayDeps): void {
  const { outbox, people, pathTests } = store;
  const { id, key, wayId } = message;
  const nowMs = clock.nowMs();
  if (delivery.taken) {
    store.carryOn(() => {
      outbox.sent(id, nowMs);
      people.noteTaken(wayId);
      pathTests.noteDelivery({ key, takenMs: nowMs, error: null, givenUp: false });
    });
    return;
  }
  const { error, forGood } = delivery;
  const attempts = message.attempts + 1;
  const { createdMs } = message;
  const notBeforeMs = retryAfterMs(delivery.retryAfter ?? null, nowMs);
  const nextAtMs = forGood ? null : nextAttemptMs({ attempts, createdMs, nowMs, notBeforeMs });
  log.warn('a message was not taken', { key, attempts, error });
  store.carryOn(() => {
    if (nextAtMs === null) outbox.abandon(id, error);
    else outbox.failed({ id, nextAtMs, error });
    pathTests.noteDelivery({ key, takenMs: null, error, givenUp: nextAtMs === null });
    if (isKnown) people.noteFailure({ wayId, sinceMs: nowMs, attempts, error, forGood });
  });
}
