import { Fault } from '../../../shared/faults.ts';
import type { Clock, Log, RecordStore, Reserve, Timers } from '../../ports.ts';
import { goOnInMemory, type InMemory } from './in-memory.ts';
import { switchedParts } from './switched-store.ts';

/** Who left less than this ago and is back waits longer with each return, to at most the second figure, ms. */
const BACK_SOON_MS = 10 * 60_000;
const MOST_WAIT_MS = 10 * 60_000;
const FIRST_WAIT_MS = 30_000;

type StandByDeps = {
  readonly record: () => RecordStore;
  readonly clock: Clock;
  readonly timers: Timers;
  readonly log: Log;
  readonly reserve?: Reserve | null;
};

export type StandBy = ReturnType<typeof createStandBy>;

/** Memory that stands in for the record from when it refuses until it can be written again. */
export function createStandBy({ record, clock, timers, log, reserve = null }: StandByDeps) {
  const kept = switchedParts(record);
  const listeners: ((writable: boolean) => void)[] = [];
  let memory: InMemory | null = null;
  let entered: () => void = () => undefined;
  const wait = waitBeforeLeaving();

  const carry = () => memory === null || memory.carry();
  const notify = () => {
    const writable = memory === null;
    timers.soon(() => {
      for (const each of listeners) each(writable);
    });
  };
  const enter = (why: string) => {
    const nowMs = clock.nowMs();
    wait.enter(nowMs);
    memory = goOnInMemory({ record, kept, log, why, nowMs });
    log.error('the record cannot be written: readings are judged in memory, and none is acknowledged', {
      error: why,
    });
    reserve?.giveUp();
    entered();
    notify();
    // what the reserve has made room for
    timers.soon(() => void carry());
  };

  return {
    now: () => memory,
    carry,
    enter,
    /** @returns whether what went wrong was the record, and memory stands in for it from now on */
    refused(cause: unknown): boolean {
      if (!(cause instanceof Fault) || cause.code !== 'store-failed') return false;
      if (memory !== null) return false;
      try {
        enter(cause.message);
        return true;
      } catch (again) {
        log.error('nothing can stand in for the record', { error: String(again) });
        return false;
      }
    },
    /** Whether it has gone on for long enough: a record that comes and goes is waited for. */
    waited: () => memory === null || wait.isOver(clock.nowMs() - memory.sinceMs),
    leave() {
      if (memory?.end() !== true) return;
      memory = null;
      wait.left(clock.nowMs());
      log.info('the record is written again');
      notify();
    },
    /** @param then makes again what is in memory, whenever memory has come to stand in for the record */
    onEnter(then: () => void) {
      entered = then;
    },
    /** Called, after the turn under way, with whether the record can be written. */
    onChange(listener: (writable: boolean) => void) {
      listeners.push(listener);
      if (memory !== null) listener(false);
    },
  };
}

/** How long memory stands in at least: longer each time that it was left and is back soon. */
function waitBeforeLeaving() {
  let [leftMs, waitMs] = [Number.NEGATIVE_INFINITY, 0];
  return {
    enter(nowMs: number): void {
      const isBackSoon = nowMs - leftMs <= BACK_SOON_MS;
      waitMs = isBackSoon ? Math.min(MOST_WAIT_MS, Math.max(FIRST_WAIT_MS, 2 * waitMs)) : 0;
    },
    isOver: (lastedMs: number) => lastedMs >= waitMs,
    left(nowMs: number): void {
      leftMs = nowMs;
    },
  };
}
