import { Fault } from '../../../shared/faults.ts';
import { addressGroup, isLoopback } from '../../domain/access/address.ts';
import { afterFailure, type Failed, MAX_ADDRESSES, waitOf } from '../../domain/access/throttle.ts';
import type { Clock } from '../../ports.ts';

/** Most addresses whose passwords wait to be tried; known ones are never turned away for that. */
export const MAX_WAITING = 32;

type PendingTask = { readonly go: () => void };

type GateDeps = {
  readonly clock: Clock;
  /** whether somebody signed in from the address before, and still is */
  readonly isKnown: (address: string) => boolean;
};

/**
 * Lets passwords be tried one at a time, one an address, and ever more slowly from an address that guesses. Others
 * are not slowed down by it: this machine itself and addresses that are signed in go before those nobody knows.
 */
export function createGate({ clock, isKnown }: GateDeps) {
  const failed = new Map<string, Failed>();
  const trying = new Set<string>();
  const [first, rest]: [PendingTask[], PendingTask[]] = [[], []];
  let busy = false;

  const turn = (known: boolean): Promise<void> => {
    if (!busy) {
      busy = true;
      return Promise.resolve();
    }
    const { promise, resolve } = Promise.withResolvers<void>();
    (known ? first : rest).push({ go: resolve });
    return promise;
  };
  const next = () => {
    const waiting = first.shift() ?? rest.shift();
    if (waiting) waiting.go();
    else busy = false;
  };
  const remember = (lane: string, entry: Failed) => {
    failed.delete(lane);
    failed.set(lane, entry);
    if (failed.size <= MAX_ADDRESSES) return;
    const [oldest] = failed.keys();
    if (oldest !== undefined) failed.delete(oldest);
  };

  return {
    /**
     * @param tries whether the password fits
     * @returns what `tries` found
     * @throws Fault `too-many-attempts` with the wait in ms
     */
    async attempt(address: string, tries: () => Promise<boolean>): Promise<boolean> {
      const lane = addressGroup(address);
      const waitMs = waitOf(failed.get(lane) ?? null, clock.nowMs());
      if (waitMs > 0) throw tooMany(waitMs);
      const known = isLoopback(address) || isKnown(address);
      if (trying.has(lane) || (!known && rest.length >= MAX_WAITING)) throw tooMany(1_000);
      trying.add(lane);
      try {
        await turn(known);
        try {
          const fits = await tries();
          if (fits) failed.delete(lane);
          else remember(lane, afterFailure(failed.get(lane) ?? null, clock.nowMs()));
          return fits;
        } finally {
          next();
        }
      } finally {
        trying.delete(lane);
      }
    },
    remembered: () => failed.size,
  };
}

function tooMany(waitMs: number): Fault {
  const seconds = Math.ceil(waitMs / 1000);
  const message =
    `Too many tries from this address; the next is looked at in ${seconds} s. Other addresses, and who is ` +
    'signed in already, are not held up.';
  return new Fault({ code: 'too-many-attempts', message, details: { waitMs } });
}
