import type { Log, Timers } from '../../ports.ts';

/** How often the manager of services gets the news that all that must live does, ms; it waits for longer. */
export const ALIVE_EVERY_MS = 20_000;

type Watchdog = {
  readonly manager: { ready(): void; alive(): void };
  /** the parts that do not come round */
  readonly dead: () => readonly string[];
  readonly timers: Pick<Timers, 'every'>;
  readonly log: Pick<Log, 'error'>;
};

/**
 * Tells the manager of services that the start is done, and from then on that the daemon lives: only while each part
 * comes round without which nobody would be woken.
 *
 * @returns stops it
 */
export function saysItLives({ manager, dead, timers, log }: Watchdog): () => void {
  manager.ready();
  return timers.every(ALIVE_EVERY_MS, () => {
    const parts = dead();
    if (parts.length === 0) manager.alive();
    else log.error('systemd is given no sign of life', { dead: parts.join(', ') });
  });
}
