import type { Finding, FindingKind } from '../../../shared/model/probes/finding.ts';

/** What an alarm about suspect probes says: which, how, and since when (ms since epoch). */
export type ProbeSuspectFacts = {
  readonly kind: 'probe-suspect';
  readonly findings: readonly {
    readonly probe: string;
    readonly finding: FindingKind;
    readonly sinceMs: number;
  }[];
};

/** So often in the three days that are checked a lost moment of power is a bad supply; less often nobody need act. Proposal. */
const LOST_POWER_TIMES = 3;

/**
 * The facts of the alarm about suspect probes of a place: what is active now and needs attention. A power-up value or two
 * were left out, and stand among the findings; there is nothing to do about them.
 * @param findings of the probes of one place
 * @returns the facts, by time; null when nothing is active
 * @example probeSuspectFacts([]) // null
 */
export function probeSuspectFacts(findings: readonly Finding[]): ProbeSuspectFacts | null {
  const active = findings
    .filter(({ untilMs }) => untilMs === null)
    .filter(({ finding, readings }) => finding !== 'power-up' || readings >= LOST_POWER_TIMES)
    .map(({ probe, finding, sinceMs }) => ({ probe, finding, sinceMs }))
    .toSorted((a, b) => a.sinceMs - b.sinceMs || a.probe.localeCompare(b.probe, 'en'));
  return active.length === 0 ? null : { kind: 'probe-suspect', findings: active };
}
