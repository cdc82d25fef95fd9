import { Fault } from '../../../shared/faults.ts';
import type { Inbox, RawMessage, Timers } from '../../ports.ts';

/** Most messages one commit takes; the rest waits for the next turn. */
export const MAX_MESSAGES_A_TURN = 200;
/** Most messages that may wait; above it a message is refused unacknowledged, and its sender sends it again. */
export const MAX_WAITING = 20_000;

type PendingMessage = {
  readonly message: RawMessage;
  readonly resolve: () => void;
  readonly reject: (cause: unknown) => void;
  /** its group failed: it is tried by itself */
  readonly alone: boolean;
};

/** Most ends of handshakes that wait for the next commit; what is dropped is forgotten some time later. */
const MAX_OVER = 10_000;

type Intake = {
  /** commits a group, and the ends of handshakes; when it throws, nothing of the group was kept */
  readonly take: (group: readonly RawMessage[], over: ReadonlySet<string>) => void;
  /** keeps a message that fails by itself, so that it can be acknowledged; when it throws, it was not kept */
  readonly setAside: (message: RawMessage, cause: unknown) => void;
};

/** Whether the record as a whole refused, so that any message would have failed. */
export function isOfRecord(cause: unknown): boolean {
  return cause instanceof Fault && cause.code === 'store-failed';
}

/**
 * Gathers messages and hands them over in groups, one turn at a time: all that arrive in one pass of the
 * event loop share a commit, which keeps the wait far under the 20 ms allowed and spares flash.
 * Every message is answered in the order of arrival, after its group was stored. A group that fails is tried again one
 * message a turn, and what fails by itself is set aside; when the record as a whole refuses, the group is rejected.
 */
export function createInbox({ take, setAside }: Intake, timers: Timers): Inbox {
  const waiting: PendingMessage[] = [];
  const over = new Set<string>();
  let scheduled = false;

  const turn = () => {
    scheduled = false;
    const group = waiting.splice(0, groupSize(waiting));
    try {
      answered(group);
    } finally {
      if (waiting.length > 0) schedule();
    }
  };
  const answered = (group: readonly PendingMessage[]) => {
    try {
      take(
        group.map(({ message }) => message),
        over,
      );
      over.clear();
    } catch (cause) {
      failed(group, cause);
      return;
    }
    for (const { resolve } of group) resolve();
  };
  const failed = (group: readonly PendingMessage[], cause: unknown) => {
    const [only] = group;
    if (isOfRecord(cause)) for (const { reject } of group) reject(cause);
    else if (group.length === 1 && only) putAside(only, cause);
    else waiting.unshift(...group.map((one) => ({ ...one, alone: true })));
  };
  const putAside = ({ message, resolve, reject }: PendingMessage, cause: unknown) => {
    try {
      setAside(message, cause);
    } catch (worse) {
      reject(worse);
      return;
    }
    resolve();
  };
  const schedule = () => {
    if (scheduled) return;
    scheduled = true;
    timers.soon(turn);
  };

  return {
    waiting: () => waiting.length,
    over(handshakeKey) {
      if (over.size < MAX_OVER) over.add(handshakeKey);
    },
    offer(message) {
      if (waiting.length >= MAX_WAITING)
        return Promise.reject(new Error(`${MAX_WAITING} messages wait already`));
      return new Promise((resolve, reject) => {
        waiting.push({ message, resolve, reject, alone: false });
        schedule();
      });
    },
  };
}

/** How many of those that wait share the next commit: what is tried by itself shares it with none. */
function groupSize(waiting: readonly PendingMessage[]): number {
  if (waiting[0]?.alone === true) return 1;
  return Math.min(waiting.length, MAX_MESSAGES_A_TURN);
}
