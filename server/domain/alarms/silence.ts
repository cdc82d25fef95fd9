import type { AlarmFacts, NoDataFacts } from '../../../shared/rules/facts.ts';
import { silenceLimitMs } from '../present/latest-readings.ts';
import { type AlarmRecord, type AlarmStep, isActive, withCondition, withoutJudging } from './record.ts';

/** A probe of a place whose silence counts; times in ms since epoch. */
export type WatchedProbe = {
  readonly name: string;
  readonly quantity: string | null;
  readonly lastMs: number;
  readonly cadenceMs: number | null;
  /** since when it has reported without falling silent */
  readonly runFromMs: number;
  /** its device sends what it kept, and is coming nearer to now */
  readonly catchingUp?: boolean;
  /** its silence counts from here at the earliest: a mist valve is asked for while there is light */
  readonly askedFromMs?: number;
};

type Watch = {
  /** all probes of the place */
  readonly probes: readonly WatchedProbe[];
  readonly nowMs: number;
  /** silence is counted from the daemon's start at the earliest */
  readonly startedMs: number;
};

/** A probe that has not reported for so many of its intervals may be about to stop reporting. */
const LATE_FROM_INTERVALS = 1.5;
const LATE_FROM_MS = 60_000;
/** Readings of one device lie no further apart than this. */
const TOGETHER_MS = 10_000;

/** What a place does not report. */
export type Silence = {
  readonly silent: readonly WatchedProbe[];
  /** nothing is received of it, and its probes of temperature are all past their time */
  readonly wholePlace: boolean;
  /** those silent beside others that go on reporting */
  readonly beside: readonly WatchedProbe[];
  /** a restart is so recent, or a device so far behind, that some cannot be said to report or to be silent */
  readonly undecided: boolean;
};

/**
 * Which probes of a place are silent. While a device catches up its probes are not: what it sends is old. A probe is
 * silent beside others only where one of them has reported all the while: probes that stop, or start, together do so
 * within seconds of each other, and are one silence.
 */
export function silenceOf(watch: Watch): Silence {
  const { probes, nowMs, startedMs } = watch;
  const silent = probes.filter((probe) => isSilent(probe, watch));
  const temperatures = probes.filter(({ quantity }) => /^(air|root)\/temperature/.test(quantity ?? ''));
  const vital = temperatures.length > 0 ? temperatures : probes;
  const newestMs = Math.max(startedMs, ...probes.map(({ lastMs }) => lastMs));
  const wholePlace =
    vital.length > 0 &&
    vital.every((probe) => silent.includes(probe)) &&
    nowMs - newestMs > Math.min(...vital.map(silenceLimitMs));
  const goesOn = (probe: WatchedProbe, forMs: number) =>
    !silent.includes(probe) && !isLate(probe, nowMs) && nowMs - probe.runFromMs >= forMs;
  // those that stop together are announced together
  const isWaitedFor = probes.some((probe) => !silent.includes(probe) && isAboutTo(probe, watch));
  const beside =
    wholePlace || isWaitedFor
      ? []
      : silent.filter((probe) => probes.some((other) => goesOn(other, silenceLimitMs(probe))));
  const undecided = probes.some((probe) => probe.lastMs < startedMs || isBehind(probe, watch));
  return { silent, wholePlace, beside, undecided };
}

/**
 * The alarm "no readings": raised when a place reports nothing any more, over when all its probes report again, or
 * some have for so long that the others are silent beside them.
 */
export function withSilence(record: AlarmRecord, silence: Silence, nowMs: number): AlarmStep {
  const { silent, wholePlace, beside, undecided } = silence;
  if (wholePlace) return standing(record, { silent, wholePlace }, nowMs);
  if (!isActive(record)) return { record, transition: null };
  // raised by an earlier version, for single probes: those have an alarm of their own
  if (record.facts?.kind === 'no-data' && !record.facts.wholePlace) return withoutJudging(record, nowMs);
  const hasResumed = silent.length === 0 ? !undecided : beside.length > 0;
  return hasResumed ? withCondition(record, { isMet: false, atMs: nowMs }) : { record, transition: null };
}

/** What the silence of single probes leaves unjudged. */
export type Blindness = Pick<NoDataFacts, 'blind' | 'matters'>;

/**
 * The alarm "probe not reporting": raised while the place goes on without one or more of its probes, over when all of
 * them report again.
 * @param blindness what is not judged without some probes
 */
export function withSilentProbes(
  record: AlarmRecord,
  silence: Silence,
  of: { readonly nowMs: number; readonly blindness: (silent: readonly WatchedProbe[]) => Blindness },
): AlarmStep {
  const { silent, beside, undecided } = silence;
  const { nowMs } = of;
  if (beside.length > 0) {
    const blindness = of.blindness(beside);
    return standing(record, { silent: beside, wholePlace: false, ...blindness }, nowMs);
  }
  if (!isActive(record) || silent.length > 0 || undecided) return { record, transition: null };
  return withCondition(record, { isMet: false, atMs: nowMs });
}

type Found = { readonly silent: readonly WatchedProbe[]; readonly wholePlace: boolean } & Blindness;

function standing(record: AlarmRecord, found: Found, nowMs: number): AlarmStep {
  const { silent, ...rest } = found;
  const facts: AlarmFacts = {
    kind: 'no-data',
    silent: silent.map(({ name, lastMs }) => ({ probe: name, lastMs })),
    ...rest,
  };
  return withCondition({ ...record, facts }, { isMet: true, atMs: nowMs });
}

function isSilent(probe: WatchedProbe, { nowMs, startedMs }: Omit<Watch, 'probes'>): boolean {
  const fromMs = Math.max(probe.lastMs, startedMs, probe.askedFromMs ?? startedMs);
  return nowMs - fromMs > silenceLimitMs(probe) && probe.catchingUp !== true;
}

/** Late, and silent within seconds unless it reports. */
function isAboutTo(probe: WatchedProbe, { nowMs, ...watch }: Omit<Watch, 'probes'>): boolean {
  return isLate(probe, nowMs) && isSilent(probe, { ...watch, nowMs: nowMs + TOGETHER_MS });
}

function isLate({ lastMs, cadenceMs }: WatchedProbe, nowMs: number): boolean {
  return nowMs - lastMs > Math.max(LATE_FROM_INTERVALS * (cadenceMs ?? 0), LATE_FROM_MS);
}

function isBehind(probe: WatchedProbe, { nowMs }: Pick<Watch, 'nowMs'>): boolean {
  return probe.catchingUp === true && nowMs - probe.lastMs > silenceLimitMs(probe);
}

/** An alarm about what is over already: it is raised and returns at once, and stays until somebody has seen it. */
export function momentary(before: AlarmRecord, span: { fromMs: number; toMs: number }): AlarmStep[] {
  const facts = { kind: 'was-blind', ...span } as const;
  const raised = withCondition({ ...before, facts }, { isMet: true, atMs: span.toMs });
  return [raised, withCondition(raised.record, { isMet: false, atMs: span.toMs })];
}
