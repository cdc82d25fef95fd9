import type { Place } from '../../../shared/model/place.ts';
import { NEAR_CEILING_K } from '../../../shared/rules/watch/probe-silent.ts';
import { blindRules } from '../../domain/alarms/blind.ts';
import { type AlarmRecord, type AlarmStep, isActive, withoutJudging } from '../../domain/alarms/record.ts';
import {
  type Blindness,
  momentary,
  type Silence,
  silenceOf,
  type WatchedProbe,
  withSilence,
  withSilentProbes,
} from '../../domain/alarms/silence.ts';
import { baseQuantity } from '../world/records.ts';
import type { World } from '../world/world.ts';
import { type JudgeContext, momentsOf } from './judge.ts';

type SilenceContext = JudgeContext & {
  /** since when each place with a mist valve has been in light, ms since epoch */
  readonly litSinceMs: Map<string, number>;
  /** when the daemon was started, by the present clock, ms since epoch */
  readonly started: { readonly atMs: number };
  readonly nowMs: number;
};

/** What the alarms about a silent place, and about its silent probes, come to. */
export function silenceSteps(place: Place, context: SilenceContext): AlarmStep[] {
  const { world, nowMs } = context;
  const ofPlace = world.alarm({ placeId: place.id, rule: 'no-data' });
  const ofProbes = world.alarm({ placeId: place.id, rule: 'probe-silent' });
  // a device that has only just begun is waited for
  const isNew = ofPlace.state === 'normal' && ofProbes.state === 'normal' && !world.hasReported(place.id);
  const probes = isNew ? [] : watchedProbes(place, ofProbes, context);
  if (probes.length === 0) return [];
  const silence = silenceOf({ probes, nowMs, startedMs: context.started.atMs });
  const steps = [
    stepIf(ofPlace, place, nowMs, () => withSilence(ofPlace, silence, nowMs)),
    stepIf(ofProbes, place, nowMs, () => ofSilentProbes(ofProbes, place, silence, context)),
  ].filter((step) => step !== null);
  const isBack = steps.some(
    ({ record, transition }) => record.id === ofPlace.id && transition === 'returned',
  );
  return isBack ? [...steps, ...powerBack(ofPlace, place.id, context)] : steps;
}

/** A step that is worth keeping: a transition, or other facts of an active alarm. */
function stepIf(before: AlarmRecord, place: Place, nowMs: number, step: () => AlarmStep): AlarmStep | null {
  const rule = before.rule === 'no-data' ? 'no-data' : 'probe-silent';
  if (place.settings.alarms[rule]?.on === false)
    return isActive(before) ? { ...withoutJudging(before, nowMs), note: 'its rule is switched off' } : null;
  const taken = step();
  const isNews =
    taken.transition !== null || JSON.stringify(taken.record.facts) !== JSON.stringify(before.facts);
  return isNews ? taken : null;
}

function ofSilentProbes(record: AlarmRecord, place: Place, silence: Silence, context: SilenceContext) {
  const blindness = (silent: readonly WatchedProbe[]) => blindnessOf(silent, place, context);
  return withSilentProbes(record, silence, { nowMs: context.nowMs, blindness });
}

/** The probes of a place whose silence counts; those of a file that was imported never report. */
function watchedProbes(place: Place, standing: AlarmRecord, context: SilenceContext): WatchedProbe[] {
  const { world, nowMs } = context;
  const devices = world.catchingUp(place.id, nowMs);
  return world.probesOf(place.id).flatMap((probe) => {
    const latest = world.latest.get(probe.id);
    if (!latest || world.fromFile.has(probe.id)) return [];
    const { tMs: lastMs, cadenceMs, runFromMs } = latest;
    const { name, quantity } = probe;
    const of = { name, quantity, lastMs, cadenceMs, runFromMs, catchingUp: devices.has(probe.device) };
    const isValve = baseQuantity(probe) === 'mist/valve' && !isNamed(standing, name);
    return [isValve ? { ...of, askedFromMs: litSince(place, context) } : of];
  });
}

/** An alarm that names a probe already goes on until it reports, in the dark as well. */
function isNamed(record: AlarmRecord, name: string): boolean {
  const { facts } = record;
  return isActive(record) && facts?.kind === 'no-data' && facts.silent.some(({ probe }) => probe === name);
}

/** Since when there is light at a place, ms since epoch; never, in the dark: leaves need no mist then. */
function litSince(place: Place, { litSinceMs, ...context }: SilenceContext): number {
  const { light } = momentsOf(place, context)(context.nowMs);
  if (!light) litSinceMs.delete(place.id);
  else if (!litSinceMs.has(place.id)) litSinceMs.set(place.id, context.nowMs);
  return litSinceMs.get(place.id) ?? Number.POSITIVE_INFINITY;
}

/** What a place is not judged by without its silent probes, and why that cannot wait. */
function blindnessOf(
  silent: readonly WatchedProbe[],
  place: Place,
  context: SilenceContext,
): Required<Blindness> {
  const { world, nowMs } = context;
  const probes = world.probesOf(place.id).filter(({ id }) => world.latest.has(id));
  const quantitiesOf = (of: typeof probes) => new Set(of.flatMap((probe) => baseQuantity(probe) ?? []));
  const names = new Set(silent.map(({ name }) => name));
  const blind = blindRules({
    place,
    targets: world.targets(place.id, nowMs),
    all: quantitiesOf(probes),
    reporting: quantitiesOf(probes.filter(({ name }) => !names.has(name))),
  });
  return { blind, matters: mattersOf(blind, { place, silent, context }) };
}

function mattersOf(
  blind: readonly string[],
  of: { readonly place: Place; readonly silent: readonly WatchedProbe[]; readonly context: SilenceContext },
): Required<Blindness>['matters'] {
  const { place, silent, context } = of;
  if (blind.includes('air-over-ceiling')) return 'heat';
  if (silent.some((probe) => wasNearCeiling(probe, place, context.world))) return 'near-ceiling';
  const { light } = momentsOf(place, context)(context.nowMs);
  return blind.includes('no-mist-in-light') && light ? 'mist' : null;
}

function wasNearCeiling({ name, lastMs }: WatchedProbe, place: Place, world: World): boolean {
  const probe = world
    .probesOf(place.id)
    .find((one) => one.name === name && baseQuantity(one) === 'air/temperature');
  const value = probe && world.latest.get(probe.id)?.value;
  return value !== undefined && value >= world.targets(place.id, lastMs).air.ceilingC - NEAR_CEILING_K;
}

/** A place of which nothing was received, and then all: what stopped with it may not have started again. */
function powerBack(silence: AlarmRecord, placeId: string, { world, nowMs }: SilenceContext): AlarmStep[] {
  const { facts } = silence;
  if (facts?.kind !== 'no-data' || !facts.wholePlace || facts.silent.length < 2) return [];
  const fromMs = Math.min(...facts.silent.map(({ lastMs }) => lastMs));
  const before = world.alarm({ placeId, rule: 'power-back' });
  return momentary(before, { fromMs, toMs: nowMs });
}
