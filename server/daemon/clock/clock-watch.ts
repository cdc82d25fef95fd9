import { MAX_FUTURE_MS } from '../../../firmware-contracts/v1/limits.ts';
import type { NewClockJump } from '../../../shared/model/clock.ts';
import { shiftedAlarm } from '../../domain/clock/shifted.ts';
import {
  afterReading,
  type ClockReading,
  type ClockState,
  type ClockStep,
  EARLIEST_RIGHT_MS,
  firstState,
  judgedMs,
  LONGEST_PAUSE_MS,
  offsetsMs,
} from '../../domain/clock/steadiness.ts';
import type { Keep, Log, SteadyClock, Store } from '../../ports.ts';
import { createCatchUp } from './catch-up.ts';
import { readState } from './kept-state.ts';
import { moveWaiting } from './move-waiting.ts';

const NOTE = 'clock';

type ClockWatchDeps = {
  readonly store: Store;
  readonly keep: Keep;
  readonly clock: SteadyClock;
  readonly log: Log;
};

export type ClockWatch = ReturnType<typeof createClockWatch>;

/**
 * Compares the wall clock with one that nobody can set. When it was set, whatever waits is moved with it; readings that
 * were dated while it was wrong are set aside once it is known that it was; and until it was steady for a while nothing
 * is done that could not be undone.
 */
export function createClockWatch({ store, keep, clock, log }: ClockWatchDeps) {
  const readNow = () => readClock(clock);
  let state = readState(keep.read(NOTE)) ?? firstState(readingBefore(store, readNow()));
  let offsets = offsetsMs(state);
  const catchUp = createCatchUp({ store, clock });
  let setBefore: NewClockJump | null = null;
  let onJump: (byMs: number) => void = () => undefined;

  const note = () => noteState(state, { keep, log });
  /** @returns whether the clock was set, or is steady again */
  const take = ({ state: next, jump, becameSteady, wrong }: ClockStep): boolean => {
    state = next;
    offsets = offsetsMs(state);
    store.clock.keepAll(state.keepAllMs > 0);
    if (jump === null && !becameSteady) return false;
    logChange(log, jump);
    catchUp.add({ jump, wrong, aside: becameSteady || wrong.length > 0 });
    return true;
  };

  const reading = (): void => {
    const now = afterReading(state, readNow(), store.clock.newestGroup());
    const changed = take(now);
    if (now.jump) onJump(now.jump.byMs);
    catchUp.pay();
    if (changed) note();
  };

  return {
    /** Compares with what was known before this start, and moves with the clock what waits in the record. */
    begin(): void {
      const before = afterReading(state, readNow(), store.clock.newestGroup());
      take(before);
      setBefore = before.jump;
      if (setBefore) moveBeforeRead(setBefore.byMs, { store, log });
      catchUp.pay();
      note();
    },
    /** By how much the clock was set while the daemon did not run, ms, where that is known. */
    setBeforeMs: () => (setBefore?.exact ? setBefore.byMs : 0),
    /** Called with each jump from now on, by how many ms: whatever waits in memory must move with the clock. */
    follow(moved: (byMs: number) => void): void {
      onJump = moved;
    },
    look: reading,
    /** Takes back some of what was set aside for a jump that was undone. */
    takeBack(): boolean {
      if (state.jumps.length > 0 || !store.clock.isReturning()) return false;
      return store.transaction(() => store.clock.takeBackSome());
    },
    note,
    judgedMs: (tMs: number, arrivedAtMs: number): number =>
      judgedMs(
        { tMs, arrivedAtMs },
        { offsetsMs: offsets, isBehind: state.jumps.some(({ exact }) => !exact) },
      ),
    /** Jumps since the clock was steady, newest last. */
    jumps: () => state.jumps,
    /** Whether hours may be sealed and settled: their groups of readings are known no more then. */
    maySeal(): boolean {
      reading();
      return state.jumps.length === 0 || state.pausedMs > LONGEST_PAUSE_MS;
    },
    /** Whether anything may be dropped for its age. */
    mayDrop(): boolean {
      reading();
      return state.keepAllMs === 0 && clock.nowMs() >= EARLIEST_RIGHT_MS;
    },
  };
}

function readClock(clock: SteadyClock): ClockReading {
  return { wallMs: clock.nowMs(), elapsedMs: clock.elapsedMs(), bootId: clock.bootId() };
}

/** A disk that takes no note must not end the daemon. */
function noteState(state: ClockState, { keep, log }: Pick<ClockWatchDeps, 'keep' | 'log'>): void {
  try {
    keep.write(NOTE, JSON.stringify(state));
  } catch (cause) {
    log.error('what is known of the clock could not be noted', { error: String(cause) });
  }
}

/** Without a note, as of before there were any, the newest reading says how late it was at least. */
function readingBefore({ journal, probes }: Store, now: ClockReading): ClockReading {
  const newestMs = probes.all().reduce((max, { id }) => Math.max(max, journal.latest(id)?.tMs ?? 0), 0);
  return newestMs > now.wallMs + MAX_FUTURE_MS ? { wallMs: newestMs, elapsedMs: 0, bootId: '' } : now;
}

function logChange(log: Log, jump: NewClockJump | null): void {
  if (jump === null) {
    log.info('the clock is steady again');
    return;
  }
  const { fromMs, toMs, byMs } = jump;
  const iso = (ms: number) => new Date(ms).toISOString();
  log.warn('the wall clock was set', { from: iso(fromMs), to: iso(toMs), byS: Math.round(byMs / 1000) });
}

/** Before the record is read: alarms as they were kept, and messages, callings and tests that wait. */
function moveBeforeRead(byMs: number, { store, log }: Pick<ClockWatchDeps, 'store' | 'log'>): void {
  const alarms = store.alarms.all().map((record) => shiftedAlarm(record, byMs));
  moveWaiting(alarms, { byMs, store, log });
}
