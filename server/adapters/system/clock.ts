import type { Clock, Timers } from '../../ports.ts';

/** The machine's clock. */
export const systemClock: Clock = { nowMs: () => Date.now() };

/** The machine's timers. */
export const systemTimers: Timers = {
  after(delayMs, run) {
    const timer = setTimeout(run, delayMs);
    return () => clearTimeout(timer);
  },
  every(intervalMs, run) {
    const timer = setInterval(run, intervalMs);
    return () => clearInterval(timer);
  },
  soon: (run) => void setImmediate(run),
};
