import { Fault } from '../../shared/faults.ts';
import type { Place } from '../../shared/model/place.ts';
import { newestLookMs } from '../domain/alarms/looks.ts';
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
import { type JudgedStep, judgeLookedUp, judgeTime } from './judge.ts';
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
  readonly startedMs: number;
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
    const steps = [...judged.filter(({ keep: must }) => must).map(({ step }) => step), ...passing];
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
  const found = lookedUp(place, newestLookMs(nowMs), context.query);
  return found.flatMap(({ rule, sample }) => judgeLookedUp(rule, { place, sample }, context) ?? []);
}

/** A place whose look is due; places take turns, one a turn, so that no turn is long. */
function placeToLookUp({ world, lookedUpMs, nowMs }: WatchContext): Place | null {
  const dueMs = newestLookMs(nowMs);
  for (const place of world.places.values()) {
    if ((lookedUpMs.get(place.id) ?? 0) >= dueMs) continue;
    lookedUpMs.set(place.id, dueMs);
    // a place that reports nothing has nothing to look up
    if (nowMs - world.newestMs(place.id) <= place.settings.maxGapMs) return place;
  }
  return null;
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
