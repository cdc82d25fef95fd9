import type { Log, Timers } from '../../ports.ts';
import { saidOnce } from './said-once.ts';

/**
 * Timers whose turns cannot end the process: one that throws, or whose promise is rejected, is logged, and the next
 * goes on. The one guard for all that comes round by the clock.
 */
export function guardedTimers({ after, every, soon }: Timers, log: Log): Timers {
  const failed = saidOnce(log, 'a turn failed; the watch goes on');
  const guarded = (run: () => unknown) => () => {
    try {
      const result = run();
      if (result instanceof Promise) result.catch(failed.say);
    } catch (cause) {
      failed.say(cause);
    }
  };
  return {
    after: (delayMs, run) => after(delayMs, guarded(run)),
    every: (intervalMs, run) => every(intervalMs, guarded(run)),
    soon: (run) => soon(guarded(run)),
  };
}
