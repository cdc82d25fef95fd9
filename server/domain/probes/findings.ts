import type { Finding } from '../../../shared/model/probes/finding.ts';
import type { CheckScope } from './check-scope.ts';
import { flatLines } from './faults/flat.ts';
import { jumps } from './faults/jumps.ts';
import { disagreements } from './faults/neighbours.ts';
import { noMeasurements } from './faults/no-measurement.ts';
import { sunOnSensors } from './faults/sun.ts';
import { swappedProbes } from './faults/swapped.ts';
import { wetSensors } from './faults/wet.ts';
import { withoutLeftOut } from './left-out.ts';

/** How far back the hourly check goes, ms. */
export const LOOKBACK_MS = 3 * 86_400_000;
/** Longest span that may be asked about at once, ms. */
export const MAX_CHECK_MS = 8 * 86_400_000;

/**
 * All that the readings of a place over some days say against its probes: drift and clocks aside, which take weeks and
 * arrivals. The answer follows from the readings alone, so nothing of it need be kept.
 * @param scope probes of one place over a window of at most 8 days
 * @returns findings by probe, then by their start
 * @example findingsOf({ ...look, probes: [] }) // []
 */
export function findingsOf(scope: CheckScope): Finding[] {
  const measured: CheckScope = {
    ...scope,
    probes: scope.probes.map((probe) => ({
      ...probe,
      record: withoutLeftOut(probe.record, { quantity: probe.quantity, maxGapMs: scope.maxGapMs }),
    })),
  };
  const found = [
    ...noMeasurements(scope),
    ...jumps(measured),
    ...flatLines(measured),
    ...sunOnSensors(measured),
    ...disagreements(measured),
    ...wetSensors(measured),
    ...swappedProbes(measured),
  ];
  return inOrder(found);
}

/** Findings by probe, then by their start. */
export function inOrder(findings: readonly Finding[]): Finding[] {
  return findings.toSorted((a, b) => a.probeId - b.probeId || a.sinceMs - b.sinceMs);
}
