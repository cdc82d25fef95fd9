import { Fault } from '../../shared/faults.ts';
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
import type { FindingsDesk } from './findings.ts';
import type { Halves } from './halves.ts';
import { type JudgedStep, judgeLookedUp, judgeTime, momentsOf } from './judge.ts';
import { lookedUp } from './looked-up.ts';
import { installationStep, type Trouble } from './of-installation.ts';
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
  readonly startedMs: number;
  /** what is wrong with the record, as it can be written or not */
  readonly recordTroubles: () => readonly Trouble[];
  /** told of a part of a turn that broke an invariant of ours: the other parts go on */
  readonly broke: (cause: unknown) => void;
};

/**
 * What passes with time alone: on-delays that run out, probes that fall silent, shelving that ends, alarms that
 * ask again, first-in-group alarms that are over and speak for others no more.
 * @returns ids of the alarms that changed, committed
 * @throws Fault `store-failed`; nothing has changed then, and the next turn finds the same to do
 */
export function watchTurn(context: WatchContext): string[] {
  const { world, store, settings, nowMs } = context;
  return keeping(context, (keepAll, changed) => {
    const [apart, writing] = [partsOf(context), partsOf(context, () => world.reload())];
    const places = [...world.places.values()];
    const timed = places.flatMap((place) => apart(() => judgeTime(place, nowMs, context)));
    const judged = [...timed, ...apart(() => lookedUpNow(context))];
    const moved = new Set(judged.map(({ before }) => before.id));
    const passing = [...world.alarms.values()].flatMap((record) =>
      moved.has(record.id) ? [] : apart(() => ofTime(record, context)),
    );
    for (const one of judged) if (!one.keep) world.alarms.set(one.before.id, one.step.record);
    keepAll([
      ...judged.filter(({ keep: must }) => must).map(({ step }) => step),
      ...passing,
      ...places.flatMap(({ id }) =>
        apart(() => [...silenceSteps(id, context), ...suspectSteps(id, context)]),
      ),
      ...apart(() => recordSteps(context)),
    ]);
    keepAll([...world.alarms.values()].flatMap((record) => apart(() => ofDesign(record, context))));
    const telling = { world, store, settings, nowMs };
    for (const id of writing(() => quietenTurn(telling))) changed.add(id);
    writing(() => {
      peopleTurn(telling, keepAll.one);
      return [];
    });
  });
}

/**
 * Runs a part of a turn by itself: one that breaks, of one place or one alarm, must not hold up the others.
 * @param takeBack undoes in memory what a part has done that writes
 */
function partsOf({ broke }: WatchContext, takeBack: () => void = () => undefined) {
  return <T>(part: () => readonly T[]): readonly T[] => {
    try {
      return part();
    } catch (cause) {
      if (cause instanceof Fault) throw cause;
      takeBack();
      broke(cause);
      return [];
    }
  };
}

/**
 * On-delays that run out between readings, and nothing else, so that it may come round more often.
 * @returns ids of the alarms that changed, committed
 * @throws Fault `store-failed`; nothing has changed then
 */
export function delaysTurn(context: WatchContext): string[] {
  return keeping(context, (keepAll) => {
    const apart = partsOf(context);
    const judged = [...context.world.places.values()].flatMap((place) =>
      apart(() => judgeTime(place, context.nowMs, context)),
    );
    keepAll(judged.map(({ step }) => step));
  });
}

/** Keeps steps of alarms, in one transaction; `one` keeps a single step inside the caller's. */
type KeepAll = ((steps: readonly AlarmStep[]) => void) & { readonly one: (step: AlarmStep) => void };

/** Runs a turn that keeps steps of alarms; gives the ids of those that were kept. */
function keeping(context: WatchContext, turn: (keepAll: KeepAll, changed: Set<string>) => void): string[] {
  const { world } = context;
  const changed = new Set<string>();
  try {
    turn(keeperOf(context, changed), changed);
  } catch (cause) {
    world.reload();
    throw cause;
  }
  return [...changed];
}

function keeperOf(context: WatchContext, changed: Set<string>): KeepAll {
  const { world, store, settings, nowMs, broke } = context;
  const one = (step: AlarmStep) => {
    const settled = asRaised(step, context);
    keepStep(settled, { world, store, settings, nowMs });
    changed.add(settled.record.id);
  };
  const together = (steps: readonly AlarmStep[]) => {
    store.carryOn(() => {
      for (const step of steps) one(step);
    });
  };
  const keepAll = (steps: readonly AlarmStep[]) => {
    if (steps.length === 0) return;
    try {
      together(steps);
    } catch (cause) {
      if (cause instanceof Fault || steps.length === 1) throw cause;
      // one of them breaks an invariant of ours: the others must be kept all the same
      world.reload();
      for (const step of steps) {
        try {
          together([step]);
        } catch (alone) {
          if (alone instanceof Fault) throw alone;
          world.reload();
          broke(alone);
        }
      }
    }
  };
  return Object.assign(keepAll, { one });
}

/** The alarm of the record itself, while it cannot be written. */
function recordSteps({ world, nowMs, recordTroubles }: WatchContext): AlarmStep[] {
  const step = installationStep(world, { rule: 'record-not-writable', troubles: recordTroubles(), nowMs });
  return step ? [step] : [];
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
    const atMs = lookedUpMs.get(place.id) ?? 0;
    // a place that tells nothing has nothing to look up
    if (atMs > longestMs || nowMs - world.newestMs(place.id) > place.settings.maxGapMs) continue;
    longest = place;
    longestMs = atMs - 1;
  }
  if (longest) lookedUpMs.set(longest.id, nowMs);
  return longest;
}

function ofTime(record: AlarmRecord, { nowMs }: WatchContext): AlarmStep[] {
  if (record.shelved && !isShelved(record, { nowMs })) return [withoutShelving(record)];
  const step = withReAlarm(record, { nowMs });
  return step.transition ? [step] : [];
}

function ofDesign(record: AlarmRecord, context: WatchContext): AlarmStep[] {
  const step = withByDesign(record, byDesignOf(record, context));
  return step.transition ? [step] : [];
}

function silenceSteps(placeId: string, context: WatchContext): AlarmStep[] {
  const { world, nowMs, startedMs } = context;
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
