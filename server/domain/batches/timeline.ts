import type { Sheet } from '../../../shared/model/cuttings/sheet.ts';
import { stageOf } from '../../../shared/model/cuttings/sheet.ts';
import type { Targets, TargetsFrom } from '../../../shared/model/targets.ts';
import type { TargetsEntry } from '../places/targets-history.ts';
import { type Entered, type KeptBatch, standingAt } from './batch.ts';
import { type LeadingQuestion, leadsOf } from './leading.ts';

/** Targets set by hand. */
export type HandTargets = TargetsEntry & Entered;

/** All that the targets of a place follow from. */
export type TimelineQuestion = LeadingQuestion & {
  /** in the order in which they were entered */
  readonly hand: readonly HandTargets[];
  /** that version of a sheet; null: there is none, and its stages change no bands */
  readonly sheetOf: (id: string, version: number) => Sheet | null;
};

type Mark = TargetsFrom & Entered;

/**
 * The targets of a place over time. At an instant they are those of the last change of the leading batch, of its stage
 * or of its sheet; or those set by hand since, of which the ones entered last count. While none leads, nothing changes
 * but by hand.
 * @returns ascending by `fromMs`; empty only where nothing was set by hand and no batch ever led
 */
export function targetsTimeline(question: TimelineQuestion): TargetsFrom[] {
  const marks = marksOf(question);
  const { hand } = question;
  const times = [...new Set([...marks, ...hand].map(({ fromMs }) => fromMs))].sort((a, b) => a - b);
  const timeline: TargetsFrom[] = [];
  const handFrom = Map.groupBy(
    hand.map((entry, place) => ({ ...entry, place })),
    ({ fromMs }) => fromMs,
  );
  const markFrom = new Map(marks.map((mark) => [mark.fromMs, mark]));
  let byStage: Targets | null = null;
  let byHand: { readonly targets: Targets; readonly place: number } | null = null;
  for (const fromMs of times) {
    const mark = markFrom.get(fromMs);
    if (mark) [byStage, byHand] = [mark.targets, null];
    for (const entry of handFrom.get(fromMs) ?? []) {
      const counts = mark === undefined || entry.entered > mark.entered;
      if (counts && entry.place > (byHand?.place ?? -1)) byHand = entry;
    }
    const targets = byHand?.targets ?? byStage;
    if (targets !== null && targets !== timeline.at(-1)?.targets) timeline.push({ fromMs, targets });
  }
  return timeline;
}

/** The instants at which a batch changes the bands, ascending, with the order in which that was entered. */
function marksOf(question: TimelineQuestion): Mark[] {
  const leads = leadsOf(question);
  const enteredAt = latestEdits(question);
  return leads.flatMap(({ batch, fromMs }, i): Mark[] => {
    const before = leads[i - 1];
    // chosen now, and the first there before: the same batch goes on
    const goesOn = batch !== null && before?.batch === batch;
    const toMs = leads[i + 1]?.fromMs ?? Number.POSITIVE_INFINITY;
    if (batch === null) return [];
    const changes = changesOf(batch, { fromMs, toMs, goesOn });
    return changes.flatMap(({ atMs, stage, sheet }) => {
      const found = question.sheetOf(sheet.sheetId, sheet.version);
      if (found === null) return [];
      const { targets } = stageOf(found, stage.stage);
      return [{ fromMs: atMs, targets, entered: enteredAt.get(atMs) ?? 0 }];
    });
  });
}

type Leading = { readonly fromMs: number; readonly toMs: number; readonly goesOn: boolean };

/** When stage or sheet of a batch changed while it led, and that it took the lead. */
function changesOf(batch: KeptBatch, { fromMs, toMs, goesOn }: Leading) {
  const starts = [...batch.stages, ...batch.body.sheets].map((entry) => entry.fromMs);
  const within = starts.filter((startMs) => startMs > fromMs && startMs < toMs);
  const times = [...new Set([fromMs, ...within])].sort((a, b) => a - b);
  const seen = times.map((atMs) => ({ atMs, ...standingAt(batch, atMs) }));
  const before = goesOn ? standingAt(batch, fromMs - 1) : null;
  return seen.filter((now, i) => {
    const last = seen[i - 1] ?? before;
    return (
      last === null ||
      last.stage.stage !== now.stage.stage ||
      last.sheet.sheetId !== now.sheet.sheetId ||
      last.sheet.version !== now.sheet.version
    );
  });
}

/** The newest edit of batches at each instant at which one of them changes anything. */
function latestEdits({ batches, choices }: LeadingQuestion): ReadonlyMap<number, number> {
  const latest = new Map<number, number>();
  const note = (atMs: number, entered: number) =>
    void latest.set(atMs, Math.max(entered, latest.get(atMs) ?? 0));
  for (const { fromMs, entered } of choices) note(fromMs, entered);
  for (const { closed, stays, stages, body } of batches) {
    if (closed !== null) note(closed.atMs, closed.entered);
    for (const { fromMs, entered } of [...stays, ...stages, ...body.sheets]) note(fromMs, entered);
  }
  return latest;
}

/**
 * A timeline that goes over into another at an instant: what was counted for good before it stays as it was.
 * @param before what held so far
 * @param after what holds from then on
 * @param atMs ms since epoch
 */
export function spliced(
  before: readonly TargetsFrom[],
  after: readonly TargetsFrom[],
  atMs: number,
): TargetsFrom[] {
  if (!Number.isFinite(atMs)) return [...after];
  const kept = before.filter(({ fromMs }) => fromMs < atMs);
  const held = after.findLast(({ fromMs }) => fromMs <= atMs);
  const next = after.filter(({ fromMs }) => fromMs > atMs);
  const joint = held && kept.length > 0 ? [{ fromMs: atMs, targets: held.targets }] : held ? [held] : [];
  return merged([...kept, ...joint, ...next]);
}

/** Without entries that change nothing. */
function merged(timeline: readonly TargetsFrom[]): TargetsFrom[] {
  return timeline.filter(({ targets }, i) => {
    const last = timeline[i - 1];
    return last === undefined || !areSame(last.targets, targets);
  });
}

/**
 * From when on two timelines differ, ms since epoch; null where they never do. Before its first entry a timeline is as
 * at its first.
 */
export function firstDifferenceMs(one: readonly TargetsFrom[], other: readonly TargetsFrom[]): number | null {
  const times = [...one, ...other].map(({ fromMs }) => fromMs).sort((a, b) => a - b);
  const at = (timeline: readonly TargetsFrom[], atMs: number) =>
    (timeline.findLast(({ fromMs }) => fromMs <= atMs) ?? timeline[0])?.targets;
  const differing = times.find((atMs) => !areSame(at(one, atMs), at(other, atMs)));
  if (differing === undefined) return null;
  // before the first of all, the first holds
  return differing === times[0] ? Number.NEGATIVE_INFINITY : differing;
}

function areSame(one: Targets | undefined, other: Targets | undefined): boolean {
  return one === other || JSON.stringify(one) === JSON.stringify(other);
}
