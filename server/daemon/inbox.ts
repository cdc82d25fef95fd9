import type { Inbox, RawMessage, Timers } from '../ports.ts';

/** Most messages one commit takes; the rest waits for the next turn. */
export const MAX_MESSAGES_A_TURN = 200;
/** Most messages that may wait; above it a message is refused unacknowledged, and its sender sends it again. */
export const MAX_WAITING = 20_000;

type Waiting = {
  readonly message: RawMessage;
  readonly resolve: () => void;
  readonly reject: (cause: unknown) => void;
};

/**
 * Gathers messages and hands them over in groups, one turn at a time: all that arrive in one pass of the
 * event loop share a commit, which keeps the wait far under the 20 ms allowed and spares flash.
 * Every message is answered in the order of arrival, after its group was taken.
 * @param take commits a group; when it throws, the whole group is rejected and nothing of it acknowledged
 */
export function createInbox(take: (group: readonly RawMessage[]) => void, timers: Timers): Inbox {
  const waiting: Waiting[] = [];
  let scheduled = false;

  const turn = () => {
    scheduled = false;
    const group = waiting.splice(0, MAX_MESSAGES_A_TURN);
    if (waiting.length > 0) schedule();
    try {
      take(group.map(({ message }) => message));
    } catch (cause) {
      for (const { reject } of group) reject(cause);
      return;
    }
    for (const { resolve } of group) resolve();
  };
  const schedule = () => {
    if (scheduled) return;
    scheduled = true;
    timers.soon(turn);
  };

  return {
    waiting: () => waiting.length,
    offer(message) {
      if (waiting.length >= MAX_WAITING)
        return Promise.reject(new Error(`${MAX_WAITING} messages wait already`));
      return new Promise((resolve, reject) => {
        waiting.push({ message, resolve, reject });
        schedule();
      });
    },
  };
}
