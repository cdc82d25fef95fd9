import type { Client } from 'aedes';
import type { Timers } from '../../ports.ts';

/** Clients cut off at one time, and how often, ms: so that all of them do not come back at once. */
const [AT_ONE_TIME, EVERY_MS] = [20, 250];

export type Unanswered = ReturnType<typeof openUnanswered>;

/**
 * Clients that wait for an acknowledgement the record could not give. They stay connected, and once it can be written
 * again they are cut off: only with a new connection do they send again what was not acknowledged.
 */
export function openUnanswered(cutOff: (client: Client) => void, every: Timers['every']) {
  const waiting = new Set<Client>();
  let stop: () => void = () => undefined;
  const turn = () => {
    for (const client of [...waiting].slice(0, AT_ONE_TIME)) {
      waiting.delete(client);
      cutOff(client);
    }
    if (waiting.size === 0) stop();
  };
  return {
    add(client: Client | null) {
      if (client !== null && !client.closed) waiting.add(client);
    },
    left: (client: Client) => void waiting.delete(client),
    recordWritable(writable: boolean) {
      stop();
      if (writable && waiting.size > 0) stop = every(EVERY_MS, turn);
    },
    stop: () => stop(),
  };
}
