import usual from '../../../seeds/care/weaning.json' with { type: 'json' };
import type { BandExposure } from '../../../shared/exposure/integrate.ts';
import { MS_PER_HOUR, type Window } from '../../../shared/exposure/series.ts';
import type { WeaningPlan, WeaningStep } from '../../../shared/model/cuttings/weaning.ts';
import type { BatchWeaning, WeaningStepView } from '../../../shared/wire/cuttings/weaning.ts';
import { type CountEntry, endOf, type KeptBatch } from './batch.ts';

const DAY_MS = 86_400_000;
/** A step is held with at least this share of its hours within its band. Proposal. */
const HELD_SHARE = 0.8;

/** Hours on record of a window, by where the deficit of the air lay against a band, kPa. */
type Recorded = Pick<BandExposure, 'hoursBelow' | 'hoursWithin' | 'hoursAbove'>;
type Band = Pick<WeaningStep, 'lowKpa' | 'highKpa'>;

type Question = {
  readonly nowMs: number;
  /** over the places where the batch stood */
  readonly recordOf: (window: Window, band: Band) => Recorded;
};

/**
 * What the record of a batch says of its plan of weaning. It is weaned only where each step was held and the newest tug
 * test found as many rooted as the plan asks; what depends on hours that are not on record is not judged.
 */
export function weaningOf(batch: KeptBatch, { nowMs, recordOf }: Question): BatchWeaning {
  const plan = batch.body.weaning ?? null;
  const common = { usual, heldShare: HELD_SHARE };
  if (plan === null) return { plan, ...common, gate: null, steps: [], verdict: null };
  const { fromMs, gateShare, steps } = plan;
  const gate = gateOf(plan, batch.counts);
  const end = { nowMs, closedMs: endOf(batch) };
  const seen = windowsOf(plan).map((window, i) =>
    stepView(window, steps[i] as WeaningStep, { end, recordOf }),
  );
  return {
    plan: { from: isoOf(fromMs), gateShare, steps },
    ...common,
    gate,
    steps: seen,
    verdict: verdictOf(seen, gate),
  };
}

function windowsOf({ fromMs, steps }: WeaningPlan): Window[] {
  let startMs = fromMs;
  return steps.map(({ days }) => {
    const window = { fromMs: startMs, toMs: startMs + days * DAY_MS };
    startMs = window.toMs;
    return window;
  });
}

type Gate = NonNullable<BatchWeaning['gate']>;

function gateOf({ gateShare, fromMs }: WeaningPlan, counts: readonly CountEntry[]): Gate {
  const newest = counts.at(-1);
  const isMet = ({ count }: CountEntry) => count.rooted / count.looked >= gateShare;
  if (!newest) return { state: 'no-count', count: null, metBeforeStart: false };
  const { looked, rooted } = newest.count;
  return {
    state: isMet(newest) ? 'met' : 'too-few',
    count: { at: isoOf(newest.atMs), looked, rooted },
    metBeforeStart: counts.some((entry) => entry.atMs <= fromMs && isMet(entry)),
  };
}

type Seeing = Pick<Question, 'recordOf'> & { readonly end: { nowMs: number; closedMs: number } };

function stepView(window: Window, band: WeaningStep, { end, recordOf }: Seeing): WeaningStepView {
  const { fromMs, toMs } = window;
  const passed = { fromMs, toMs: Math.max(fromMs, Math.min(toMs, end.nowMs, end.closedMs)) };
  const hours = (passed.toMs - fromMs) / MS_PER_HOUR;
  const { hoursBelow, hoursWithin, hoursAbove } =
    hours > 0 ? recordOf(passed, band) : { hoursBelow: 0, hoursWithin: 0, hoursAbove: 0 };
  const hoursUnknown = Math.max(hours - hoursBelow - hoursWithin - hoursAbove, 0);
  const recorded = { hours, hoursBelow, hoursWithin, hoursAbove, hoursUnknown };
  const state = stateOf(window, end);
  const { lowKpa, highKpa } = band;
  return {
    from: isoOf(fromMs),
    to: isoOf(toMs),
    lowKpa,
    highKpa,
    state,
    ...recorded,
    held: state === 'over' ? heldBy(recorded) : null,
  };
}

function stateOf({ fromMs, toMs }: Window, { nowMs, closedMs }: Seeing['end']): WeaningStepView['state'] {
  if (toMs <= Math.min(nowMs, closedMs)) return 'over';
  if (closedMs <= nowMs) return 'cut-short';
  return fromMs <= nowMs ? 'running' : 'ahead';
}

/** Whatever the hours that are not on record were like, or not judged. */
function heldBy({
  hours,
  hoursWithin,
  hoursUnknown,
}: Pick<WeaningStepView, 'hours' | 'hoursWithin' | 'hoursUnknown'>): WeaningStepView['held'] {
  if (hoursWithin >= HELD_SHARE * hours) return 'held';
  return hoursWithin + hoursUnknown < HELD_SHARE * hours ? 'not-held' : 'cannot-be-judged';
}

function verdictOf(steps: readonly WeaningStepView[], gate: Gate): BatchWeaning['verdict'] {
  if (steps.some(({ state }) => state === 'cut-short')) return 'cut-short';
  if (steps[0]?.state === 'ahead') return 'ahead';
  if (steps.some(({ state }) => state !== 'over')) return 'under-way';
  if (steps.some(({ held }) => held === 'not-held')) return 'not-held';
  if (steps.some(({ held }) => held === 'cannot-be-judged')) return 'cannot-be-judged';
  return { 'no-count': 'no-tug-test', 'too-few': 'too-few-rooted', met: 'weaned' }[
    gate.state
  ] as BatchWeaning['verdict'];
}

function isoOf(ms: number): string {
  return new Date(ms).toISOString();
}
