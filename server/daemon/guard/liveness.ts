import type { Log, SteadyClock } from '../../ports.ts';

/** How often an outside watcher is notified that all is alive, ms. */
export const PING_EVERY_MS = 60_000;
/** A part that has not come round for this long counts as dead, ms; a turn takes far less. */
const DEAD_AFTER_MS = 45_000;

export const PARTS = ['ingest', 'evaluation', 'outbox'] as const;
type Part = (typeof PARTS)[number];

/** Sends one sign of life; rejects when nobody accepted it. */
export type Ping = () => Promise<void>;

type LivenessDeps = {
  readonly clock: Pick<SteadyClock, 'elapsedMs'>;
  readonly log: Log;
  readonly ping: Ping | null;
  /** whether no message gets through to anybody by any contact method */
  readonly nobodyReached: () => boolean;
};

/**
 * Whether the parts that must live for anybody to be woken come round: messages are stored, alarms are judged, the
 * outbox is carried. Only while all do, and somebody can be reached, is the outside watcher notified so; it is the silence
 * that it must notice, and then the only alarm that is left.
 */
export function createLiveness({ clock, log, ping, nobodyReached }: LivenessDeps) {
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
      if (nobodyReached()) return log.error('no sign of life is sent: no message gets through to anybody');
      await ping().catch((cause: unknown) =>
        log.warn('the outside watcher did not take a sign of life', { error: String(cause) }),
      );
    },
  };
}
