import { MAX_FUTURE_MS } from '../../../firmware-contracts/v1/limits.ts';
import { type Finding, line } from './line.ts';

/** What a record says of the clock; times in ms since epoch. */
export type ClockFacts = {
  /** newest reading dated after the present by more than clocks may differ, and how many there are; null for none */
  readonly future: { readonly newestMs: number; readonly readings: number } | null;
  /** when the daemon knew to be alive last, by its own clock */
  readonly lastRunningMs: number | null;
  readonly newestJump: { readonly fromMs: number; readonly toMs: number; readonly byMs: number } | null;
  readonly setAside: number;
};

/** From when on a reading lies in the future of a clock, ms since epoch. */
export function futureFromMs(nowMs: number): number {
  return nowMs + MAX_FUTURE_MS;
}

/** What there is to say of the clock. */
export function clockLine(
  { future, lastRunningMs, newestJump, setAside }: ClockFacts,
  nowMs: number,
): Finding {
  const wrong: string[] = [];
  if (future) {
    const { readings, newestMs } = future;
    wrong.push(
      `${readings} ${readings === 1 ? 'reading is' : 'readings are'} in the future, the latest at ${iso(newestMs)}`,
    );
  }
  if (lastRunningMs !== null && lastRunningMs > futureFromMs(nowMs))
    wrong.push(`behind ${iso(lastRunningMs)}, when Strikewell ran last`);
  const known = [
    ...(newestJump ? [`last set from ${iso(newestJump.fromMs)} to ${iso(newestJump.toMs)}`] : []),
    ...(setAside > 0 ? [`${setAside} readings set aside: their times came from a wrong clock`] : []),
  ];
  const remedy =
    'Check the date, the time and the time synchronisation of this computer. Alarms continue: what arrives now counts as the newest.';
  const found = [iso(nowMs), ...wrong, ...known].join('; ');
  return line('clock', found, wrong.length > 0 ? remedy : null);
}

function iso(ms: number): string {
  return `${new Date(ms).toISOString().slice(0, 19)}Z`;
}
