import { MAX_FUTURE_MS } from '../../../firmware-contracts/v1/limits.ts';
import { Fault } from '../../../shared/faults.ts';
import type { ClockJump, NewClockJump } from '../../../shared/model/clock.ts';
import { shiftedAlarm } from '../../domain/clock/shifted.ts';
import {
  EARLIEST_RIGHT_MS,
  firstState,
  judgedMs,
  LONGEST_PAUSE_MS,
  type Look,
  type Looked,
  looked,
  offsetsMs,
  undoes,
  type WrongEra,
} from '../../domain/clock/steadiness.ts';
import type { Keep, Log, SteadyClock, Store } from '../../ports.ts';
import { readState } from './kept-state.ts';

const NOTE = 'clock';
/** Jumps that are looked through for one that was undone; the record may refuse for as many before the oldest is let go. */
const MOST_LOOKED_THROUGH = 100;
const MOST_OWED = 16;

export type ClockWatchDeps = {
  readonly store: Store;
  readonly keep: Keep;
  readonly clock: SteadyClock;
  readonly log: Log;
};

export type ClockWatch = ReturnType<typeof createClockWatch>;

/** What is still to be written down about a jump, or about a clock that is steady again. */
type Owed = {
  readonly jump: NewClockJump | null;
  readonly wrong: readonly WrongEra[];
  readonly aside: boolean;
};

/**
 * Compares the wall clock with one that nobody can set. When it was set, whatever waits is moved with it; readings that
 * were dated while it was wrong are set aside once it is known that it was; and until it was steady for a while nothing
 * is done that could not be undone.
 */
export function createClockWatch({ store, keep, clock, log }: ClockWatchDeps) {
  const lookNow = (): Look => ({
    wallMs: clock.nowMs(),
    elapsedMs: clock.elapsedMs(),
    bootId: clock.bootId(),
  });
  let state = readState(keep.read(NOTE)) ?? firstState(lookBefore(store, lookNow()));
  let offsets = offsetsMs(state);
  let owed: Owed[] = [];
  // a start may find some on their way back
  let mayReturn = true;
  let onJump: (byMs: number) => void = () => undefined;

  const note = () => {
    try {
      keep.write(NOTE, JSON.stringify(state));
    } catch (cause) {
      log.error('what is known of the clock could not be noted', { error: String(cause) });
    }
  };
  const pay = () => {
    try {
      for (let next = owed[0]; next; next = owed[0]) {
        settle(next, { store, clock });
        owed = owed.slice(1);
        mayReturn = true;
      }
    } catch (cause) {
      // a record that cannot be written is tried again at the next look
      if (!(cause instanceof Fault)) throw cause;
    }
  };
  const take = ({ state: next, jump, becameSteady, wrong }: Looked) => {
    const changed = jump !== null || becameSteady;
    state = next;
    if (changed) {
      offsets = offsetsMs(state);
      if (jump) logJump(log, jump);
      if (becameSteady) log.info('the clock is steady again');
      owed = [...owed.slice(1 - MOST_OWED), { jump, wrong, aside: becameSteady || wrong.length > 0 }];
      store.clock.keepAll(state.keepAllMs > 0);
    }
    return changed;
  };

  /** @returns true when the clock was set, or is steady again */
  const look = (): boolean => {
    const now = looked(state, lookNow(), store.clock.newestGroup());
    const changed = take(now);
    if (now.jump) onJump(now.jump.byMs);
    if (owed.length > 0) pay();
    if (changed) note();
    return changed;
  };

  return {
    /** Compares with what was known before this start, and moves with the clock what waits in the record. */
    begin(): NewClockJump | null {
      const before = looked(state, lookNow(), store.clock.newestGroup());
      take(before);
      if (before.jump) moveRecord(store, before.jump.byMs);
      store.clock.keepAll(state.keepAllMs > 0);
      pay();
      note();
      return before.jump;
    },
    /** Called with each jump from now on, by how many ms: whatever waits in memory must move with the clock. */
    follow(moved: (byMs: number) => void): void {
      onJump = moved;
    },
    look,
    /** Takes back some of what was set aside for a jump that was undone. */
    takeBack(): boolean {
      if (!mayReturn || state.jumps.length > 0) return false;
      mayReturn = store.transaction(() => store.clock.takeBackSome());
      return mayReturn;
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
    maySeal: (): boolean => {
      look();
      return state.jumps.length === 0 || state.pausedMs > LONGEST_PAUSE_MS;
    },
    /** Whether anything may be dropped for its age. */
    mayDrop: (): boolean => {
      look();
      return state.keepAllMs === 0 && clock.nowMs() >= EARLIEST_RIGHT_MS;
    },
  };
}

/** Without a note, as of before there were any, the newest reading says how late it was at least. */
function lookBefore({ journal, probes }: Store, now: Look): Look {
  const newestMs = probes.all().reduce((max, { id }) => Math.max(max, journal.latest(id)?.tMs ?? 0), 0);
  return newestMs > now.wallMs + MAX_FUTURE_MS ? { wallMs: newestMs, elapsedMs: 0, bootId: '' } : now;
}

function logJump(log: Log, { fromMs, toMs, byMs }: NewClockJump): void {
  const iso = (ms: number) => new Date(ms).toISOString();
  log.warn('the wall clock was set', { from: iso(fromMs), to: iso(toMs), byS: Math.round(byMs / 1000) });
}

/** Before the record is read: alarms as they were kept, and messages, callings and tests that wait. */
function moveRecord(store: Store, byMs: number): void {
  store.transaction(() => {
    for (const record of store.alarms.all()) store.alarms.save(shiftedAlarm(record, byMs));
    store.clock.shiftPending(byMs);
  });
}

/** Writes down a jump, and sets aside what is known now to be dated by a wrong clock. */
function settle(
  { jump, wrong, aside }: Owed,
  { store, clock }: Pick<ClockWatchDeps, 'store' | 'clock'>,
): void {
  const { clock: record } = store;
  store.transaction(() => {
    const kept = jump === null ? record.jumps(1)[0] : record.addJump(jump);
    if (!kept) return;
    if (jump)
      for (const earlier of undone(kept, record.jumps(MOST_LOOKED_THROUGH))) record.takeBack(earlier.id);
    const nowMs = clock.nowMs();
    // a clock that is certainly wrong decides about nothing
    if (!aside || nowMs < EARLIEST_RIGHT_MS) return;
    const groups = wrong.flatMap(({ era, upToGroup }) =>
      era.afterGroup === null || upToGroup === null
        ? []
        : [
            {
              afterGroup: era.afterGroup,
              upToGroup,
              fromMs: era.first.wallMs - MAX_FUTURE_MS,
              toMs: era.lastWallMs + MAX_FUTURE_MS,
            },
          ],
    );
    record.setAside({ jumpId: kept.id, afterMs: nowMs + MAX_FUTURE_MS, groups });
  });
}

function undone(jump: ClockJump, before: readonly ClockJump[]): ClockJump[] {
  return before.filter((earlier) => earlier.id < jump.id && undoes(jump, earlier));
}
