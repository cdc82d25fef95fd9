import { nextAttemptMs } from '../domain/outbox/schedule.ts';
import type { Clock, Log, Notifier, Outbox, OutboxMessage } from '../ports.ts';

/** Messages sent in one turn, one after the other. */
const BATCH = 20;

/**
 * Carries the outbox to people: sends what is due, tries again what failed. At least once; a receiver
 * tells repeats by the key. Turns never overlap.
 */
export function createRelay(deps: { outbox: Outbox; notifier: Notifier | null; clock: Clock; log: Log }) {
  const { outbox, notifier, clock, log } = deps;
  let running = false;

  const sendOne = async (message: OutboxMessage, to: Notifier) => {
    try {
      await to.send(message);
      outbox.sent(message.id);
    } catch (cause) {
      const error = cause instanceof Error ? cause.message : String(cause);
      const nowMs = clock.nowMs();
      const nextAtMs = nextAttemptMs({ attempts: message.attempts + 1, createdMs: message.createdMs, nowMs });
      log.warn('a message was not taken', { key: message.key, attempts: message.attempts + 1, error });
      if (nextAtMs === null) outbox.abandon(message.id);
      else outbox.failed({ id: message.id, nextAtMs, error });
    }
  };

  return {
    async turn(): Promise<void> {
      if (running || !notifier) return;
      running = true;
      try {
        for (const message of outbox.due({ nowMs: clock.nowMs(), limit: BATCH }))
          await sendOne(message, notifier);
      } finally {
        running = false;
      }
    },
  };
}
