import { PROBE_QUANTITIES } from '../../../shared/quantities.ts';
import type { Verdict, WouldStore } from './verdict.ts';

/**
 * A verdict as a person reads it: one line for each reading, or the fault, where it is and how to fix it.
 * @param told.done true when it was done already, and not only would be
 */
export function verdictLines(
  verdict: Verdict,
  { topic, done = false }: { readonly topic: string; readonly done?: boolean },
): string[] {
  if (verdict.ok) {
    const count = verdict.readings.length;
    return [
      `${topic}: ${count} ${count === 1 ? 'reading' : 'readings'} ${done ? 'stored' : 'would be stored'}`,
      ...verdict.readings.map(lineOf),
    ];
  }
  const { code, reason, pointer, remedy } = verdict;
  return [
    `${topic}: refused, nothing of it ${done ? 'is' : 'would be'} stored`,
    `  ${code}${pointer === null ? '' : ` at ${pointer}`}: ${reason}`,
    `  → ${remedy}`,
  ];
}

function lineOf({ probe, quantity, value, unit, tMs, placeId }: WouldStore): string {
  const what = quantity === null ? 'unassigned probe' : PROBE_QUANTITIES[quantity].name;
  const where = placeId === null ? 'no place' : `place ${placeId}`;
  const measured = [String(value), unit].filter(Boolean).join(' ');
  return `  ${probe}  ${measured}  ${new Date(tMs).toISOString()}  ${where}, ${what}`;
}
