import type { Log, SteadyClock } from '../ports.ts';

/** How often an outside watcher is told that all is alive, ms. */
export const PING_EVERY_MS = 60_000;
/** A part that has not come round for this long counts as dead, ms; a message may take 15 s to be refused. */
const DEAD_AFTER_MS = 45_000;

export const PARTS = ['ingest', 'evaluation', 'outbox'] as const;
export type Part = (typeof PARTS)[number];

/** Sends one sign of life; rejects when nobody took it. */
export type Ping = () => Promise<void>;

/**
 * Whether the parts that must live for anybody to be woken come round: messages are taken, alarms are judged, the
 * outbox is carried. Only while all do is the outside watcher told so; it is the silence that it must notice.
 */
export function createPulse({
  clock,
  log,
  ping,
}: {
  clock: Pick<SteadyClock, 'elapsedMs'>;
  log: Log;
  ping: Ping | null;
}) {
  const beats = new Map<Part, number>();
  const dead = (): Part[] => {
    const sinceMs = clock.elapsedMs() - DEAD_AFTER_MS;
    return PARTS.filter((part) => (beats.get(part) ?? Number.NEGATIVE_INFINITY) < sinceMs);
  };
  return {
    beat(part: Part): void {
      beats.set(part, clock.elapsedMs());
    },
    dead,
    async turn(): Promise<void> {
      if (ping === null) return;
      const parts = dead();
      if (parts.length > 0) return log.error('no sign of life is sent', { dead: parts.join(', ') });
      await ping().catch((cause: unknown) =>
        log.warn('the outside watcher did not take a sign of life', { error: String(cause) }),
      );
    },
  };
}
