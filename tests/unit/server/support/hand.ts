import type { LogFields, SteadyClock, Timers } from '../../../../server/ports.ts';

type Due = { dueMs: number; readonly everyMs: number | null; readonly run: () => void };

export type Hand = {
  readonly clock: SteadyClock;
  readonly timers: Timers;
  /** lets time pass: whatever falls due on the way runs at its moment */
  pass(ms: number): void;
  /** sets the wall clock, by so much; timers and what has elapsed go on as before */
  jump(byMs: number): void;
  /** restarts the computer: what has elapsed counts from 0 again */
  reboot(): void;
  /** runs what was asked to run soon */
  settle(): void;
};

/**
 * A clock that stands still until it is moved, and timers that go by it.
 *
 * @param startMs where it stands first, ms since epoch
 * @returns the clock, its timers and the hand that moves it
 */
export function clockByHand(startMs: number): Hand {
  let nowMs = startMs;
  let due: Due[] = [];
  let soon: (() => void)[] = [];
  // timers go by what has elapsed, as the system's do
  let aheadMs = 0;
  let boot = { id: 'boot-1', atMs: startMs };
  const settle = () => {
    while (soon.length > 0) {
      const turn = soon;
      soon = [];
      for (const run of turn) run();
    }
  };
  const add = (entry: Due) => {
    due.push(entry);
    return () => {
      due = due.filter((other) => other !== entry);
    };
  };
  const runNext = (untilMs: number): boolean => {
    let next: Due | null = null;
    for (const one of due) if (next === null || one.dueMs < next.dueMs) next = one;
    if (next === null || next.dueMs > untilMs) return false;
    nowMs = next.dueMs;
    if (next.everyMs === null) due = due.filter((other) => other !== next);
    else next.dueMs += next.everyMs;
    next.run();
    settle();
    return true;
  };
  return {
    clock: {
      nowMs: () => nowMs + aheadMs,
      elapsedMs: () => nowMs - boot.atMs,
      bootId: () => boot.id,
    },
    timers: {
      after: (delayMs, run) => add({ dueMs: nowMs + delayMs, everyMs: null, run }),
      every: (everyMs, run) => add({ dueMs: nowMs + everyMs, everyMs, run }),
      soon: (run) => void soon.push(run),
    },
    pass(ms) {
      const untilMs = nowMs + ms;
      settle();
      while (runNext(untilMs));
      nowMs = untilMs;
    },
    jump(byMs) {
      aheadMs += byMs;
    },
    reboot() {
      boot = { id: `${boot.id}+`, atMs: nowMs };
    },
    settle,
  };
}

export type LogLine = { readonly level: string; readonly message: string; readonly fields: LogFields };

/** A log that can be read. */
export function readableLog() {
  const lines: LogLine[] = [];
  const at =
    (level: string) =>
    (message: string, fields: LogFields = {}) =>
      void lines.push({ level, message, fields });
  return { lines, info: at('info'), warn: at('warn'), error: at('error') };
}

/** The same hand, whose daemon looks at the time no oftener than this: days pass in a fraction of the turns. */
export function comingRoundEvery(hand: Hand, leastMs: number): Hand {
  const { timers } = hand;
  return { ...hand, timers: { ...timers, every: (ms, run) => timers.every(Math.max(ms, leastMs), run) } };
}
