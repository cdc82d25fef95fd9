import { Fault } from '../../shared/faults.ts';
import type { NewClockJump } from '../../shared/model/clock.ts';
import type { Place } from '../../shared/model/place.ts';
import { LOOK_UP_EVERY_MS } from '../domain/alarms/looks.ts';
import {
  type AlarmRecord,
  type AlarmStep,
  isShelved,
  withByDesign,
  withCondition,
  withoutShelving,
  withReAlarm,
} from '../domain/alarms/record.ts';
import { momentary, withSilence } from '../domain/alarms/silence.ts';
import type { Store } from '../ports.ts';
import { type AnnunciatorSettings, keepStep } from './annunciate.ts';
import { clockStep } from './clock/clock-alarm.ts';
import type { FindingsDesk } from './findings.ts';
import type { Halves } from './halves.ts';
import { type JudgedStep, judgeLookedUp, judgeTime, momentsOf } from './judge.ts';
import { lookedUp } from './looked-up.ts';
import { peopleTurn } from './people-turn.ts';
import type { QueryContext } from './present.ts';
import { quietenTurn } from './quieten.ts';
import { asRaised, byDesignOf } from './suppress.ts';
import type { World } from './world.ts';

export type WatchContext = {
  readonly world: World;
  readonly store: Store;
  readonly settings: AnnunciatorSettings;
  readonly halves: Halves;
  readonly query: QueryContext;
  readonly findings: Pick<FindingsDesk, 'suspectFacts'>;
  /** when each place was looked up last, ms since epoch */
  readonly lookedUpMs: Map<string, number>;
  readonly nowMs: number;
  /** when the daemon was started, by the present clock, ms since epoch */
  readonly started: { readonly atMs: number };
  /** how the clock was set since it was steady */
  readonly clockJumps: () => readonly NewClockJump[];
};

/**
 * What passes with time alone: on-delays that run out, probes that fall silent, shelving that ends, alarms that
 * ask again, first-in-group alarms that are over and speak for others no more.
 * @returns ids of the alarms that changed, committed
 * @throws Fault `store-failed`; nothing has changed then, and the next turn finds the same to do
 */
export function watchTurn(context: WatchContext): string[] {
  const { world, store, settings, nowMs } = context;
  return keeping(context, (keep, changed) => {
    const timed = [...world.places.values()].flatMap((place) => judgeTime(place, nowMs, context));
    const judged = [...timed, ...lookedUpNow(context)];
    const moved = new Set(judged.map(({ before }) => before.id));
    const passing = [...world.alarms.values()].flatMap((record) =>
      moved.has(record.id) ? [] : (ofTime(record, context) ?? []),
    );
    for (const one of judged) if (!one.keep) world.alarms.set(one.before.id, one.step.record);
    const clock = clockStep(world, { jumps: context.clockJumps(), nowMs });
    const kept = judged.filter(({ keep: must }) => must).map(({ step }) => step);
    const steps = [...kept, ...passing, ...(clock ? [clock] : [])];
    const silences = [...world.places.keys()].flatMap((placeId) => [
      ...silenceSteps(placeId, context),
      ...suspectSteps(placeId, context),
    ]);
    if (steps.length + silences.length > 0)
      store.transaction(() => {
        for (const step of [...steps, ...silences]) keep(step);
      });
    const designs = [...world.alarms.values()].flatMap((record) => ofDesign(record, context) ?? []);
    if (designs.length > 0)
      store.transaction(() => {
        for (const step of designs) keep(step);
      });
    const telling = { world, store, settings, nowMs };
    for (const id of quietenTurn(telling)) changed.add(id);
    peopleTurn(telling, keep);
  });
}

/**
 * On-delays that run out between readings, and nothing else, so that it may come round more often.
 * @returns ids of the alarms that changed, committed
 * @throws Fault `store-failed`; nothing has changed then
 */
export function delaysTurn(context: WatchContext): string[] {
  return keeping(context, (keep) => {
    const judged = [...context.world.places.values()].flatMap((place) =>
      judgeTime(place, context.nowMs, context),
    );
    if (judged.length === 0) return;
    context.store.transaction(() => {
      for (const { step } of judged) keep(step);
    });
  });
}

/** Runs a turn that keeps steps of alarms; gives the ids of those that were kept. */
function keeping(
  context: WatchContext,
  turn: (keep: (step: AlarmStep) => void, changed: Set<string>) => void,
): string[] {
  const { world, store, settings, nowMs } = context;
  const changed = new Set<string>();
  try {
    turn((step) => {
      const settled = asRaised(step, context);
      keepStep(settled, { world, store, settings, nowMs });
      changed.add(settled.record.id);
    }, changed);
  } catch (cause) {
    world.reload();
    const why = cause instanceof Error ? cause.message : String(cause);
    throw new Fault({
      code: 'store-failed',
      message: `The database could not keep an alarm: ${why}.`,
      cause,
    });
  }
  return [...changed];
}

function lookedUpNow(context: WatchContext): JudgedStep[] {
  const { nowMs } = context;
  const place = placeToLookUp(context);
  if (!place) return [];
  const moment = { ...momentsOf(place, context)(nowMs), nowMs };
  const found = lookedUp(place, moment, context.query);
  return found.flatMap(({ rule, sample }) => judgeLookedUp(rule, { place, sample }, context) ?? []);
}

/** The place that was looked up longest ago, once that is due; places take turns, one a turn, so that no turn of the watch is long. */
function placeToLookUp({ world, lookedUpMs, nowMs }: WatchContext): Place | null {
  let longest: Place | null = null;
  let longestMs = nowMs - LOOK_UP_EVERY_MS;
  for (const place of world.places.values()) {
    const knownMs = lookedUpMs.get(place.id) ?? 0;
    // later than now: by a clock that was ahead
    const atMs = knownMs > nowMs ? 0 : knownMs;
    // a place that tells nothing has nothing to look up
    if (atMs > longestMs || nowMs - world.newestMs(place.id) > place.settings.maxGapMs) continue;
    longest = place;
    longestMs = atMs - 1;
  }
  if (longest) lookedUpMs.set(longest.id, nowMs);
  return longest;
}

function ofTime(record: AlarmRecord, { nowMs }: WatchContext): AlarmStep | null {
  if (record.shelved && !isShelved(record, { nowMs })) return withoutShelving(record);
  const step = withReAlarm(record, { nowMs });
  return step.transition ? step : null;
}

function ofDesign(record: AlarmRecord, context: WatchContext): AlarmStep | null {
  const step = withByDesign(record, byDesignOf(record, context));
  return step.transition ? step : null;
}

function silenceSteps(placeId: string, context: WatchContext): AlarmStep[] {
  const { world, nowMs } = context;
  const startedMs = context.started.atMs;
  const record = world.alarm({ placeId, rule: 'no-data' });
  const probes = world.probesOf(placeId).flatMap((probe) => {
    const heard = world.heard.get(probe.id);
    return heard && !world.fromFile.has(probe.id)
      ? [{ ...probe, lastMs: heard.tMs, cadenceMs: heard.cadenceMs }]
      : [];
  });
  if (probes.length === 0) return [];
  const step = withSilence(record, { probes, nowMs, startedMs });
  const alreadyKnown = step.transition === null && sameFacts(step.record, record);
  if (alreadyKnown) return [];
  return step.transition === 'returned' ? [step, ...powerBack(record, placeId, context)] : [step];
}

/** What was found wrong with probes, once an hour or so: an alarm of low priority, for the morning. */
function suspectSteps(placeId: string, { world, findings, nowMs }: WatchContext): AlarmStep[] {
  const facts = findings.suspectFacts(placeId);
  if (facts === undefined) return [];
  const record = world.alarm({ placeId, rule: 'probe-suspect' });
  const next = { ...record, facts: facts ?? record.facts };
  const step = withCondition(next, { stands: facts !== null, atMs: nowMs });
  const isNews = step.transition !== null || (facts !== null && !sameFacts(next, record));
  return isNews ? [step] : [];
}

/** A place of which nothing was heard, and then all: what stopped with it may not have started again. */
function powerBack(silence: AlarmRecord, placeId: string, { world, nowMs }: WatchContext): AlarmStep[] {
  const { facts } = silence;
  if (facts?.kind !== 'no-data' || !facts.wholePlace || facts.silent.length < 2) return [];
  const fromMs = Math.min(...facts.silent.map(({ lastMs }) => lastMs));
  const before = world.alarm({ placeId, rule: 'power-back' });
  return momentary(before, { fromMs, toMs: nowMs });
}

/** While an alarm stands, its list of silent probes may grow: that too is worth keeping and telling. */
function sameFacts(a: AlarmRecord, b: AlarmRecord): boolean {
  return JSON.stringify(a.facts) === JSON.stringify(b.facts);
}
