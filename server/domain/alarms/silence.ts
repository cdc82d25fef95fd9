import type { AlarmFacts } from '../../../shared/model/alarms/alarm.ts';
import { type AlarmRecord, type AlarmStep, isActive, withCondition } from './record.ts';

/** The shortest silence that counts: contract of the alarm "no data". */
export const MIN_SILENCE_MS = 5 * 60_000;

/** A probe whose silence blinds the place; times in ms since epoch. */
export type WatchedProbe = {
  readonly name: string;
  readonly quantity: string | null;
  readonly lastMs: number;
  readonly cadenceMs: number | null;
  /** its device sends what it kept, and is coming nearer to now */
  readonly catchingUp?: boolean;
};

/** How long a probe may be silent: three times its cadence, and never under 5 min. */
export function silenceLimitMs({ cadenceMs }: { cadenceMs: number | null }): number {
  return Math.max(3 * (cadenceMs ?? 0), MIN_SILENCE_MS);
}

/**
 * The alarm "no data": raised when a temperature probe of air or root zone stops reporting (any probe,
 * when a place has neither), over when all of them report again. While a device catches up its probes are not silent, and
 * an active alarm stays active: what it sends is old.
 * @param watch all probes of the place; silence is counted from the daemon's start at the earliest
 */
export function withSilence(
  record: AlarmRecord,
  watch: { readonly probes: readonly WatchedProbe[]; readonly nowMs: number; readonly startedMs: number },
): AlarmStep {
  const vital = watch.probes.filter((probe) => /^(air|root)\/temperature/.test(probe.quantity ?? ''));
  const watched = vital.length > 0 ? vital : watch.probes;
  const silent = watched.filter((probe) => isSilent(probe, watch));
  // while one restart's grace runs, or a device catches up, an active alarm stays active
  const unknown = (probe: WatchedProbe) => probe.lastMs < watch.startedMs || isBehind(probe, watch);
  const undecided = silent.length === 0 && watched.some(unknown);
  if (undecided && isActive(record)) return { record, transition: null };
  if (silent.length === 0) return withCondition(record, { isMet: false, atMs: watch.nowMs });
  const facts: AlarmFacts = {
    kind: 'no-data',
    silent: silent.map(({ name, lastMs }) => ({ probe: name, lastMs })),
    wholePlace: silent.length === watched.length,
  };
  return withCondition({ ...record, facts }, { isMet: true, atMs: watch.nowMs });
}

type Watch = { readonly nowMs: number; readonly startedMs: number };

function isSilent(probe: WatchedProbe, { nowMs, startedMs }: Watch): boolean {
  return nowMs - Math.max(probe.lastMs, startedMs) > silenceLimitMs(probe) && probe.catchingUp !== true;
}

function isBehind(probe: WatchedProbe, { nowMs }: Watch): boolean {
  return probe.catchingUp === true && nowMs - probe.lastMs > silenceLimitMs(probe);
}

/** An alarm about what is over already: it is raised and returns at once, and stands until somebody has seen it. */
export function momentary(before: AlarmRecord, span: { fromMs: number; toMs: number }): AlarmStep[] {
  const facts = { kind: 'was-blind', ...span } as const;
  const raised = withCondition({ ...before, facts }, { isMet: true, atMs: span.toMs });
  return [raised, withCondition(raised.record, { isMet: false, atMs: span.toMs })];
}
