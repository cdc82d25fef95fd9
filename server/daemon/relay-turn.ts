import { INSTALLATION_WEBHOOK_ID } from '../../shared/model/people/people.ts';
import { nobodyReached } from '../domain/people/failing.ts';
import type { Carrier, Clock, Log, Store } from '../ports.ts';
import type { Emergency } from './emergency/emergency.ts';
import type { createRelay } from './notify/relay.ts';

type Turning = { readonly clock: Clock; readonly log: Log; readonly emergency: Pick<Emergency, 'refused'> };

/** An attempt that is under way for longer than this has escaped its deadline, ms: the outbox counts as dead then. */
const STUCK_AFTER_MS = 3 * 60_000;

/** The turn of the relay as the daemon takes it; says at each turn that nothing is stuck. */
export function relayTurnOf(
  relay: ReturnType<typeof createRelay>,
  { clock, log, emergency }: Turning,
  cameRound: () => void,
): () => void {
  return () => {
    relay.turn().catch((cause: unknown) => {
      emergency.refused(cause);
      log.error('the relay failed', { error: String(cause) });
    });
    const oldestMs = relay.oldestMs();
    if (oldestMs === null || clock.nowMs() - oldestMs < STUCK_AFTER_MS) cameRound();
  };
}

/** Carries as before, and says of each attempt that nobody accepted; one that was broken off has not failed. */
export function countingFailures(carrier: Carrier, failed: () => void): Carrier {
  return {
    async send(method, message, signal) {
      const delivery = await carrier.send(method, message, signal);
      if (!delivery.delivered && !signal.aborted) failed();
      return delivery;
    },
  };
}

type Reaching = { readonly store: Store; readonly webhookSet: boolean; readonly nowMs: number };

/** Whether every contact method of those who are called, and the webhook of the settings, fails. */
export function nobodyReachedNow({ store, webhookSet, nowMs }: Reaching): boolean {
  const { people, ladder: escalation } = store.people.roster();
  const called = new Set(escalation.steps.map(({ personId }) => personId));
  const wayIds = people
    .filter(({ id }) => called.has(id))
    .flatMap(({ ways: methods }) => methods.map(({ id }) => id));
  return nobodyReached(
    webhookSet ? [...wayIds, INSTALLATION_WEBHOOK_ID] : wayIds,
    store.people.failing(),
    nowMs,
  );
}
