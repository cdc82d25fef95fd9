import type { Targets, TargetsFrom } from '../../../shared/model/targets.ts';

/** One edit of a place's targets: entered at one time, holding from another (ms since epoch). */
export type TargetsEntry = {
  readonly fromMs: number;
  readonly enteredMs: number;
  readonly targets: Targets;
};

/**
 * The targets in force over time: a later edit replaces all that held from its `fromMs` on.
 * @param entries in the order in which they were entered
 * @returns ascending by `fromMs`, never empty
 * @throws RangeError when `entries` is empty
 */
export function targetsInForce(entries: readonly TargetsEntry[]): TargetsFrom[] {
  if (entries.length === 0) throw new RangeError('a place needs at least one set of targets');
  const inForce: TargetsFrom[] = [];
  for (const { fromMs, targets } of entries) {
    while ((inForce.at(-1)?.fromMs ?? Number.NEGATIVE_INFINITY) >= fromMs) inForce.pop();
    inForce.push({ fromMs, targets });
  }
  return inForce;
}

/**
 * The targets that hold at an instant; before the first they are the first.
 * @throws RangeError when `history` is empty
 */
export function targetsAt(history: readonly TargetsFrom[], atMs: number): Targets {
  const found = history.findLast((entry) => entry.fromMs <= atMs) ?? history[0];
  if (!found) throw new RangeError('a place needs at least one set of targets');
  return found.targets;
}
