import { MAX_FUTURE_MS } from '../../../firmware-contracts/v1/limits.ts';
import { invariant } from '../../../shared/faults.ts';
import type { NewClockJump } from '../../../shared/model/clock.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const DAY_MS = 24 * HOUR_MS;

/** The wall clock was set when it advanced by this much more or less than time elapsed, ms. Time servers slew less. */
const JUMP_MS = MINUTE_MS;
/** After so long without another jump the clock counts as steady, ms of elapsed time. PROPOSAL. */
const STEADY_AFTER_MS = 15 * MINUTE_MS;
/** While the clock is not steady no hour is sealed, but for so long at most, ms. PROPOSAL. */
export const LONGEST_PAUSE_MS = DAY_MS;
/** For so long after a jump, or a gap nobody can explain, nothing is dropped for its age, ms. PROPOSAL. */
export const KEEP_ALL_MS = 7 * DAY_MS;
/** The computer off for longer than this may as well have a clock that is ahead, ms. PROPOSAL. */
const UNEXPLAINED_MS = 2 * DAY_MS;
/** Stretches of one clock that are remembered; the oldest give way. */
const MOST_ERAS = 8;
/** Newest jumps an alarm names. */
const MOST_JUMPS = 5;
/** Before this the clock is certainly wrong: there was no Strikewell. */
export const EARLIEST_RIGHT_MS = Date.UTC(2026, 0, 1);

/** One look at both clocks: wall in ms since epoch, elapsed in ms since the computer started. */
export type ClockReading = { readonly wallMs: number; readonly elapsedMs: number; readonly bootId: string };

/** A stretch in which the wall clock only advanced. */
export type Era = {
  readonly first: ClockReading;
  readonly lastWallMs: number;
  /** readings committed after this group belong to it, or to a later one; null once that is not known any more */
  readonly afterGroup: number | null;
  /** whether it lasted long enough for its clock to count as steady */
  readonly steady: boolean;
};

/** A stretch whose clock was wrong, and between which groups its readings were committed, where that is known. */
export type WrongEra = { readonly era: Era; readonly upToGroup: number | null };

export type ClockState = {
  readonly look: ClockReading;
  /** oldest first; the last is the present one */
  readonly eras: readonly Era[];
  /** jumps since the clock was steady, newest last; none: it is steady */
  readonly jumps: readonly NewClockJump[];
  /** elapsed since the newest jump, and since the first of `jumps`, ms */
  readonly calmMs: number;
  readonly pausedMs: number;
  /** for so long nothing is dropped for its age, ms */
  readonly keepAllMs: number;
};

/** What a look brought: a jump, or that the clock is steady again. */
export type ClockStep = {
  readonly state: ClockState;
  readonly jump: NewClockJump | null;
  readonly becameSteady: boolean;
  readonly wrong: readonly WrongEra[];
};

/** What is known of the clock at a first check. */
export function firstState(reading: ClockReading): ClockState {
  const era = { first: reading, lastWallMs: reading.wallMs, afterGroup: 0, steady: false };
  return { look: reading, eras: [era], jumps: [], calmMs: 0, pausedMs: 0, keepAllMs: 0 };
}

/**
 * Takes a look at both clocks.
 * @param state what was known
 * @param now the look
 * @param newestGroup number of the newest group of readings, should a new stretch begin here
 */
export function afterReading(state: ClockState, now: ClockReading, newestGroup: number): ClockStep {
  const jump = jumpBetween(state, now);
  if (jump) {
    const next = jumped(state, now, { jump, newestGroup });
    return { state: next, jump, becameSteady: false, wrong: wrongEras(next, newestGroup) };
  }
  const quiet = { jump: null, becameSteady: false, wrong: [] };
  if (!isSameBoot(state.look, now)) return { state: started(state, now), ...quiet };
  const ranMs = now.elapsedMs - state.look.elapsedMs;
  const calmMs = state.calmMs + ranMs;
  const isCalm = calmMs >= STEADY_AFTER_MS;
  const next: ClockState = {
    look: now,
    eras: withLast(state.eras, { lastWallMs: now.wallMs, steady: isCalm }),
    jumps: state.jumps,
    calmMs,
    pausedMs: state.jumps.length === 0 ? 0 : state.pausedMs + ranMs,
    keepAllMs: Math.max(0, state.keepAllMs - ranMs),
  };
  if (state.jumps.length === 0 || !isCalm) return { state: next, ...quiet };
  return { state: settled(next), jump: null, becameSteady: true, wrong: wrongEras(next, newestGroup) };
}

/** The jump between what was known and now, or null: exact within one start of the computer, else only backwards. */
function jumpBetween({ look: reading, eras }: ClockState, now: ClockReading): NewClockJump | null {
  const present = presentOf({ eras });
  if (isSameBoot(reading, now)) {
    const byMs = offsetMs(now) - offsetMs(present.first);
    if (Math.abs(byMs) < JUMP_MS) return null;
    return { fromMs: now.wallMs - byMs, toMs: now.wallMs, byMs, exact: true };
  }
  const byMs = now.wallMs - reading.wallMs;
  return byMs <= -JUMP_MS ? { fromMs: reading.wallMs, toMs: now.wallMs, byMs, exact: false } : null;
}

function jumped(
  state: ClockState,
  now: ClockReading,
  { jump, newestGroup }: { jump: NewClockJump; newestGroup: number },
): ClockState {
  const era: Era = { first: now, lastWallMs: now.wallMs, afterGroup: newestGroup, steady: false };
  return {
    look: now,
    eras: [...state.eras.slice(1 - MOST_ERAS), era],
    jumps: [...state.jumps.slice(1 - MOST_JUMPS), jump],
    calmMs: 0,
    pausedMs: state.pausedMs,
    keepAllMs: KEEP_ALL_MS,
  };
}

/** Another start of the computer, whose clock shows nothing impossible. */
function started(state: ClockState, now: ClockReading): ClockState {
  const era: Era = { first: now, lastWallMs: now.wallMs, afterGroup: null, steady: false };
  const unexplained = now.wallMs - state.look.wallMs > UNEXPLAINED_MS;
  return {
    ...state,
    look: now,
    eras: [...state.eras.slice(1 - MOST_ERAS), era],
    calmMs: 0,
    keepAllMs: unexplained ? KEEP_ALL_MS : state.keepAllMs,
  };
}

/** Groups go when hours are sealed again, and their numbers may come again. */
function settled(state: ClockState): ClockState {
  return {
    ...state,
    eras: state.eras.map((era) => ({ ...era, afterGroup: null })),
    jumps: [],
    pausedMs: 0,
  };
}

function withLast(eras: ClockState['eras'], change: Partial<Era>): ClockState['eras'] {
  return [...eras.slice(0, -1), { ...presentOf({ eras }), ...change }];
}

function presentOf({ eras }: Pick<ClockState, 'eras'>): Era {
  const present = eras.at(-1);
  invariant(present, 'a clock is known by one stretch at least');
  return present;
}

function isSameBoot(a: ClockReading, b: ClockReading): boolean {
  // a container may be given a count of its own that begins again
  return a.bootId === b.bootId && b.elapsedMs >= a.elapsedMs;
}

function offsetMs({ wallMs, elapsedMs }: ClockReading): number {
  return wallMs - elapsedMs;
}

/**
 * The stretches of which it is known now that their clock was wrong: the clock has come back to what it steadily was
 * before them, or has left a time at which there was no Strikewell.
 */
function wrongEras({ eras }: Pick<ClockState, 'eras'>, newestGroup: number): WrongEra[] {
  const present = presentOf({ eras });
  const alike = eras.map(({ first }) => isSameClock(first, present.first));
  const same = eras.findIndex(
    ({ steady }, i) => i < eras.length - 1 && alike[i] && (steady || present.steady),
  );
  const possible = present.first.wallMs >= EARLIEST_RIGHT_MS;
  return eras.slice(0, -1).flatMap((era, i): WrongEra[] => {
    const wrong = (same >= 0 && i > same && !alike[i]) || (possible && era.lastWallMs < EARLIEST_RIGHT_MS);
    return wrong ? [{ era, upToGroup: eras[i + 1]?.afterGroup ?? newestGroup }] : [];
  });
}

function isSameClock(a: ClockReading, b: ClockReading): boolean {
  return a.bootId === b.bootId && Math.abs(offsetMs(a) - offsetMs(b)) < JUMP_MS;
}

/** True when a jump goes forward over the place from which an earlier one had gone back. */
export function undoes(jump: NewClockJump, earlier: NewClockJump): boolean {
  return earlier.byMs < 0 && jump.fromMs < earlier.fromMs - JUMP_MS && jump.toMs >= earlier.fromMs - JUMP_MS;
}

/**
 * By how much clocks of this installation that nobody set would be ahead of, or behind, the present one: ms to add to
 * a time by such a clock.
 */
export function offsetsMs({ eras, keepAllMs, jumps }: ClockState): number[] {
  if (keepAllMs === 0 && jumps.length === 0) return [];
  const present = presentOf({ eras });
  const known = eras
    .filter(({ first }) => first.bootId === present.first.bootId)
    .map(({ first }) => offsetMs(present.first) - offsetMs(first));
  return [...new Set(known)].filter((byMs) => Math.abs(byMs) >= JUMP_MS);
}

/**
 * At what time a reading is judged: its own, unless it is dated by a clock that was not set when this one was.
 * @param reading its time and that of its arrival, ms since epoch
 * @param clock how far such clocks are apart from this one, and whether this one was set back by an unknown amount
 * @returns ms since epoch
 * @example judgedMs({ tMs: 0, arrivedAtMs: 3_600_000 }, { offsetsMs: [3_600_000], isBehind: false }) // 3600000
 */
export function judgedMs(
  { tMs, arrivedAtMs }: { readonly tMs: number; readonly arrivedAtMs: number },
  { offsetsMs: offsets, isBehind }: { readonly offsetsMs: readonly number[]; readonly isBehind: boolean },
): number {
  const latestMs = arrivedAtMs + MAX_FUTURE_MS;
  if (tMs <= latestMs && tMs >= arrivedAtMs - MAX_FUTURE_MS) return tMs;
  const isAhead = tMs > latestMs;
  let best: number | null = null;
  for (const byMs of offsets) {
    const atMs = tMs + byMs;
    const fits = atMs <= latestMs && (isAhead || atMs >= arrivedAtMs - MAX_FUTURE_MS);
    if (fits && (best === null || atMs > best)) best = atMs;
  }
  return best ?? (isAhead && isBehind ? arrivedAtMs : tMs);
}
