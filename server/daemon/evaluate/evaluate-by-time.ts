import { Fault } from '../../../shared/faults.ts';
import type { NewClockJump } from '../../../shared/model/clock.ts';
import type { Place } from '../../../shared/model/place.ts';
import { newestSampleMs } from '../../domain/alarms/limit-samples.ts';
import {
  type AlarmRecord,
  type AlarmStep,
  isActive,
  isShelved,
  withCondition,
  withoutShelving,
  withReAlarm,
  withSuppression,
} from '../../domain/alarms/record.ts';
import type { Store } from '../../ports.ts';
import { clockStep } from '../clock/clock-alarm.ts';
import type { ForecastService } from '../forecast/forecasts.ts';
import { alarmsOf, guarded } from '../guard/guard.ts';
import { isOfRecord } from '../guard/inbox.ts';
import type { Troubles } from '../guard/troubles.ts';
import { type AnnunciatorSettings, keepStep } from '../notify/annunciate.ts';
import { chatterTurn } from '../notify/chatter.ts';
import { installationStep, type Trouble } from '../notify/installation-alarm.ts';
import { peopleTurn } from '../notify/people-turn.ts';
import type { FindingsService } from '../readout/findings.ts';
import type { QueryContext } from '../readout/present.ts';
import type { DayNight } from '../world/day-night.ts';
import type { World } from '../world/world.ts';
import { type JudgedStep, judgePeriodic, judgeTime, switchedOff } from './judge.ts';
import { periodicSamples } from './periodic-rules.ts';
import { type PriorityOf, raisedPriority } from './priority.ts';
import { silenceSteps } from './silence-steps.ts';
import { asRaised, suppressionOf } from './suppress.ts';

/** A step that failed by itself is tried again after so long, ms: each try reads the world again. */
const AGAIN_AFTER_MS = 60_000;

export type WatchContext = {
  readonly world: World;
  readonly store: Store;
  readonly settings: AnnunciatorSettings;
  readonly dayNight: DayNight;
  readonly query: QueryContext;
  readonly priorityOf: PriorityOf;
  readonly findings: Pick<FindingsService, 'suspectFacts'>;
  readonly forecasts: Pick<ForecastService, 'expected'>;
  /** when each place was checked last, ms since epoch */
  readonly sampledMs: Map<string, number>;
  /** since when each place with a mist valve has been in light, ms since epoch */
  readonly litSinceMs: Map<string, number>;
  readonly troubles: Pick<Troubles, 'note'>;
  /** until when a step of an alarm that could not be kept is not tried again, ms since epoch */
  readonly heldBackMs: Map<string, number>;
  readonly nowMs: number;
  /** when the daemon was started, by the present clock, ms since epoch */
  readonly started: { readonly atMs: number };
  /** how the clock was set since it was steady */
  readonly clockJumps: () => readonly NewClockJump[];
  /** what is wrong with the record, as it can be written or not */
  readonly recordTroubles: () => readonly Trouble[];
};

/**
 * What passes with time alone: on-delays that run out, probes that stop reporting, shelving that ends, alarms that
 * ask again, first-in-group alarms that are over and cover others no more.
 * @returns ids of the alarms that changed, committed
 * @throws Fault `store-failed`; nothing has changed then, and the next turn finds the same to do
 */
export function watchTurn(context: WatchContext): string[] {
  const { world, store, settings, nowMs, troubles } = context;
  return lifeCycle(context, (keep, changed) => {
    const judged = [...judgedByTime(context), ...judgePeriodicNow(context)];
    const moved = new Set(judged.map(({ before }) => before.id));
    const passing = eachAlarm(context, (record) => (moved.has(record.id) ? null : ofTime(record, context)));
    for (const one of judged) if (!one.keep) world.alarms.set(one.before.id, one.step.record);
    const clock = clockStep(world, { jumps: context.clockJumps(), nowMs });
    const kept = judged.filter(({ keep: must }) => must).map(({ step }) => step);
    const steps = [...kept, ...passing, ...(clock ? [clock] : []), ...recordSteps(context)];
    const silences = eachPlace(context, (place) => [
      ...silenceSteps(place, context),
      ...suspectSteps(place.id, context),
      ...expectedSteps(place.id, context),
    ]);
    keepSteps([...steps, ...silences], context, keep);
    keepSteps(
      eachAlarm(context, (record) => suppressionChange(record, context)),
      context,
      keep,
    );
    const notifying = { world, store, settings, nowMs };
    const quiet = guarded('repeating alarms', () => chatterTurn(notifying), { troubles, otherwise: [] });
    for (const id of quiet) changed.add(id);
    for (const record of world.alarms.values())
      if (isActive(record) && settings.judgeCause(record)) changed.add(record.id);
    guarded('calls that are due', () => peopleTurn(notifying, keep), { troubles, otherwise: undefined });
  });
}

/**
 * On-delays that run out between readings, and nothing else, so that it may come round more often.
 * @returns ids of the alarms that changed, committed
 * @throws Fault `store-failed`; nothing has changed then
 */
export function delaysTurn(context: WatchContext): string[] {
  return lifeCycle(context, (keep) => {
    const steps = judgedByTime(context).map(({ step }) => step);
    keepSteps(steps, context, keep);
  });
}

function judgedByTime(context: WatchContext): JudgedStep[] {
  return eachPlace(context, (place) => judgeTime(place, context.nowMs, context));
}

/** What each place comes to; one whose judging fails is noted and stops no other. */
function eachPlace<T>(context: WatchContext, work: (place: Place) => T[]): T[] {
  const { troubles } = context;
  return [...context.world.places.values()].flatMap((place) =>
    guarded(alarmsOf(place), () => work(place), { troubles, otherwise: [] }),
  );
}

/** The same of each alarm. */
function eachAlarm(context: WatchContext, work: (record: AlarmRecord) => AlarmStep | null): AlarmStep[] {
  const { world, troubles } = context;
  return [...world.alarms.values()].flatMap((record) => {
    const what = alarmsOf(record.placeId === null ? null : world.places.get(record.placeId));
    return guarded(what, () => work(record), { troubles, otherwise: null }) ?? [];
  });
}

type Keeper = (step: AlarmStep) => void;

/** Keeps steps in one transaction; where one of them fails by itself, each in its own, so that it stops no other. */
function keepSteps(found: readonly AlarmStep[], context: WatchContext, keep: Keeper): void {
  const { nowMs, troubles, heldBackMs } = context;
  const steps = found.filter(({ record }) => nowMs >= (heldBackMs.get(record.id) ?? 0));
  if (steps.length === 0 || failureOf(steps, context, keep) === null) return;
  for (const step of steps) {
    const cause = failureOf([step], context, keep);
    if (cause === null) continue;
    heldBackMs.set(step.record.id, nowMs + AGAIN_AFTER_MS);
    troubles.note({ rule: 'monitoring-fault', what: `alarm ${step.record.id}`, cause });
  }
}

/** @returns null, or what went wrong with the steps themselves. @throws Fault `store-failed` when the record refuses */
function failureOf(steps: readonly AlarmStep[], { world, store }: WatchContext, keep: Keeper): unknown {
  try {
    store.carryOn(() => steps.forEach(keep));
    return null;
  } catch (cause) {
    if (isOfRecord(cause)) throw cause;
    world.reload();
    return cause ?? 'unknown';
  }
}

/** Runs a turn that keeps steps of alarms; gives the ids of those that were kept. */
function lifeCycle(context: WatchContext, turn: (keep: Keeper, changed: Set<string>) => void): string[] {
  const { world, store, settings, nowMs, troubles } = context;
  const changed = new Set<string>();
  try {
    turn((step) => {
      const settled = asRaised(step, context);
      keepStep(settled, { world, store, settings, nowMs });
      changed.add(settled.record.id);
    }, changed);
  } catch (cause) {
    world.reload();
    if (isOfRecord(cause)) throw cause;
    troubles.note({ rule: 'monitoring-fault', what: 'what passes with time alone', cause });
    const why = cause instanceof Error ? cause.message : String(cause);
    throw new Fault({
      code: 'store-failed',
      message: `The database could not keep an alarm: ${why}.`,
      cause,
    });
  }
  return [...changed];
}

/** The alarm of the record itself, while it cannot be written. */
function recordSteps({ world, nowMs, recordTroubles }: WatchContext): AlarmStep[] {
  const step = installationStep(world, { rule: 'record-not-writable', troubles: recordTroubles(), nowMs });
  return step ? [step] : [];
}

function judgePeriodicNow(context: WatchContext): JudgedStep[] {
  const place = placeToSample(context);
  if (!place) return [];
  const { troubles } = context;
  return guarded(alarmsOf(place), () => judgePeriodicAt(place, context), { troubles, otherwise: [] });
}

function judgePeriodicAt(place: Place, context: WatchContext): JudgedStep[] {
  const found = periodicSamples(place, newestSampleMs(context.nowMs), context.query);
  return found.flatMap(({ rule, sample }) => judgePeriodic(rule, { place, sample }, context) ?? []);
}

/** A place whose check is due; places take turns, one a turn, so that no turn is long. */
function placeToSample({ world, sampledMs, nowMs }: WatchContext): Place | null {
  const dueMs = newestSampleMs(nowMs);
  for (const place of world.places.values()) {
    const knownMs = sampledMs.get(place.id) ?? 0;
    // later than now: by a clock that was ahead
    if (knownMs >= dueMs && knownMs <= nowMs) continue;
    sampledMs.set(place.id, dueMs);
    // a place that reports nothing has nothing to check
    if (nowMs - world.newestMs(place.id) <= place.settings.maxGapMs) return place;
  }
  return null;
}

function ofTime(record: AlarmRecord, { nowMs, priorityOf }: WatchContext): AlarmStep | null {
  if (record.shelved && !isShelved(record, { nowMs })) return withoutShelving(record);
  const step = withReAlarm(record, { nowMs });
  return step.transition ? step : raisedPriority(record, { nowMs, priorityOf });
}

function suppressionChange(record: AlarmRecord, context: WatchContext): AlarmStep | null {
  const ended = switchedOff(record, context.nowMs, context);
  if (ended) return ended;
  const step = withSuppression(record, suppressionOf(record, context));
  return step.transition ? step : null;
}

/** What was found wrong with probes, once an hour or so: an alarm of low priority, for the morning. */
function suspectSteps(placeId: string, { world, findings, nowMs }: WatchContext): AlarmStep[] {
  const facts = findings.suspectFacts(placeId);
  if (facts === undefined) return [];
  return factSteps(world.alarm({ placeId, rule: 'probe-suspect' }), facts, nowMs);
}

/** What is expected at a place, looked at every two minutes: early notices of low priority. */
function expectedSteps(placeId: string, { world, forecasts, nowMs }: WatchContext): AlarmStep[] {
  const steps = forecasts
    .expected(placeId)
    .flatMap(({ rule, facts }) => factSteps(world.alarm({ placeId, rule }), facts, nowMs));
  // what was expected and is so no longer asks nobody for an answer
  return steps.map((step) =>
    step.transition === 'returned' ? { ...step, record: { ...step.record, state: 'normal' as const } } : step,
  );
}

/** An alarm that is active while there are facts for it; nothing where nothing is new. */
function factSteps(record: AlarmRecord, facts: AlarmRecord['facts'], nowMs: number): AlarmStep[] {
  const next = { ...record, facts: facts ?? record.facts };
  const step = withCondition(next, { isMet: facts !== null, atMs: nowMs });
  const isNews = step.transition !== null || (facts !== null && !sameFacts(next, record));
  return isNews ? [step] : [];
}

function sameFacts(a: AlarmRecord, b: AlarmRecord): boolean {
  return JSON.stringify(a.facts) === JSON.stringify(b.facts);
}
