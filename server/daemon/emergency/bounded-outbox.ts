import type { NewMessage, Outbox } from '../../ports.ts';

/** Messages that may wait in memory; from the first figure on only those of high priority are accepted. */
const MOST_WAITING = { any: 2_000, high: 4_000 };

/**
 * The outbox in memory: bounded, those of high priority kept first.
 * @param left called with each message that there was no place for
 */
export function boundedOutbox(outbox: Outbox, left: (message: NewMessage) => void): Outbox {
  return {
    ...outbox,
    put(message) {
      const { count } = outbox.waiting();
      if (count >= (isHigh(message) ? MOST_WAITING.high : MOST_WAITING.any)) left(message);
      else outbox.put(message);
    },
  };
}

function isHigh({ body }: NewMessage): boolean {
  // bodies are of our own making
  const { data } = JSON.parse(body) as { data?: { alarm?: { priority?: string } | null } };
  return data?.alarm?.priority === 'high';
}
