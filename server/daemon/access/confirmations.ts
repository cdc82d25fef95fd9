import { CONFIRMED_MINUTES } from '../../../shared/model/people/roles.ts';
import type { Clock } from '../../ports.ts';

const CONFIRMED_MS = CONFIRMED_MINUTES * 60_000;
/** Most sessions remembered: those of 100 accounts with 20 each. */
const MAX_REMEMBERED = 2_000;

/** When the password was last given for each session, in memory: a start asks again, and nothing is written. */
export function createConfirmations({ clock }: { clock: Clock }) {
  const atMs = new Map<number, number>();
  return {
    /** @returns until when it counts, ms since epoch */
    given(sessionId: number): number {
      atMs.delete(sessionId);
      atMs.set(sessionId, clock.nowMs());
      const [oldest] = atMs.keys();
      if (atMs.size > MAX_REMEMBERED && oldest !== undefined) atMs.delete(oldest);
      return clock.nowMs() + CONFIRMED_MS;
    },
    holds(sessionId: number): boolean {
      const given = atMs.get(sessionId);
      // a clock that was set back does not lengthen it
      return given !== undefined && Math.abs(clock.nowMs() - given) < CONFIRMED_MS;
    },
  };
}
