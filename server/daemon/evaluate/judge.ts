import { LX_PER_UMOL } from '../../../shared/climate/light.ts';
import type { Place } from '../../../shared/model/place.ts';
import type { Probe } from '../../../shared/model/probes/probe.ts';
import type { Targets } from '../../../shared/model/targets.ts';
import {
  isLimitRule,
  LIMIT_RULE_DEFINITIONS,
  LIMIT_RULES,
  type LimitRule,
  type LimitRuleDefinition,
  type Moment,
} from '../../../shared/rules/rules.ts';
import { dueAtMs } from '../../domain/alarms/condition.ts';
import {
  firstDueAtMs,
  mustBeKept,
  type Sample,
  withLimitedSample,
  withTimePassing,
} from '../../domain/alarms/limit-alarm.ts';
import { type HeldRule, heldRule } from '../../domain/alarms/limits.ts';
import { type AlarmRecord, type AlarmStep, alarmId, withoutJudging } from '../../domain/alarms/record.ts';
import { fedBy, SAMPLERS } from '../../domain/alarms/rules/registry.ts';
import type { PlaceSampler, ProbeSampler } from '../../domain/alarms/rules/sampler.ts';
import {
  freshAt,
  IN_LIGHT_PPFD,
  joined,
  ppfdOf,
  recoveryOf,
  WHOLE_PLACE,
} from '../../domain/alarms/signals.ts';
import { type LatestReadings, slopePerMin } from '../../domain/present/latest-readings.ts';
import { isSuspect } from '../../domain/probes/left-out.ts';
import type { DayNight } from '../world/day-night.ts';
import { baseQuantity } from '../world/records.ts';
import type { World } from '../world/world.ts';

export type JudgeContext = { readonly world: World; readonly dayNight: DayNight };

/** A step of an alarm, whether it must be kept or only remembered, and when its on-delay runs out, ms since epoch. */
export type JudgedStep = {
  readonly before: AlarmRecord;
  readonly step: AlarmStep;
  readonly keep: boolean;
  readonly dueAtMs: number | null;
};

/** Judges a reading that is news by the rules that look at its probe alone. */
export function judgeProbe(probe: Probe, context: JudgeContext): JudgedStep[] {
  const place = probe.placeId === null ? undefined : context.world.places.get(probe.placeId);
  const rules = feedsOf(probe)?.each ?? [];
  // no alarm may rest on what is no measurement
  const latest = place ? measuredNow(probe, place, context.world) : null;
  return place && latest ? judgedBy(rules, { place, source: String(probe.id), latest }, context) : [];
}

/** Judges a place as a whole, once all that was read at one time is known. */
export function judgePlace(placeId: string, probes: Iterable<Probe>, context: JudgeContext): JudgedStep[] {
  const place = context.world.places.get(placeId);
  const rules = new Set([...probes].flatMap((probe) => feedsOf(probe)?.place ?? []));
  return place ? judgedBy(rules, { place, source: WHOLE_PLACE }, context) : [];
}

/** True when readings of the probe bear on rules that look at its place as a whole. */
export function bearsOnPlace(probe: Probe): boolean {
  return probe.placeId !== null && (feedsOf(probe)?.place.length ?? 0) > 0;
}

function feedsOf(probe: Probe) {
  const quantity = baseQuantity(probe);
  return quantity === null ? undefined : fedBy(quantity);
}

function judgedBy(
  rules: Iterable<LimitRule>,
  of: Omit<Judging, 'moments'>,
  context: JudgeContext,
): JudgedStep[] {
  const judging = { ...of, moments: momentsOf(of.place, context) };
  return [...rules].flatMap((rule) => judgedOnce(rule, judging, context) ?? []);
}

/** Lets time pass for the alarms of a place whose on-delays run. */
export function judgeTime(place: Place, nowMs: number, context: JudgeContext): JudgedStep[] {
  const moments = momentsOf(place, context);
  return LIMIT_RULES.flatMap((rule) => {
    const before = context.world.alarm({ placeId: place.id, rule });
    if (!isArming(before.conditions)) return [];
    const held = heldAt(rule, place, nowMs, context);
    if (!held.on) return [];
    const newest = (source: string) => sampleOf(rule, { place, source, moments }, context);
    const step = withTimePassing(before, { nowMs, staleAfterMs: place.settings.maxGapMs, newest }, held);
    return step.record === before ? [] : [{ before, step, keep: true, dueAtMs: null }];
  });
}

/** When the first on-delay of all that run will have run out, ms since epoch; null where none runs. */
export function nextDueAtMs(nowMs: number, context: JudgeContext): number | null {
  const { world } = context;
  let next = Number.POSITIVE_INFINITY;
  for (const { placeId, rule, conditions } of world.alarms.values()) {
    const place = placeId === null ? undefined : world.places.get(placeId);
    if (!place || !isLimitRule(rule) || !isArming(conditions)) continue;
    const held = heldAt(rule, place, nowMs, context);
    if (held.on) next = Math.min(next, firstDueAtMs({ conditions }, held) ?? next);
  }
  return Number.isFinite(next) ? next : null;
}

/** An alarm whose rule is switched off at its place ends unjudged; null where it goes on, or says nothing anyway. */
export function switchedOff(record: AlarmRecord, nowMs: number, context: JudgeContext): AlarmStep | null {
  const { placeId, rule, conditions } = record;
  if (!isLimitRule(rule) || Object.keys(conditions).length === 0) return null;
  const place = placeId === null ? undefined : context.world.places.get(placeId);
  if (!place || heldAt(rule, place, nowMs, context).on) return null;
  return { ...withoutJudging(record, nowMs), note: 'its rule is switched off' };
}

function isArming(conditions: AlarmRecord['conditions']): boolean {
  return Object.values(conditions).some(({ phase }) => phase === 'arming');
}

/** Judges a value of the place that was read from its record, with its limit. */
export function judgePeriodic(
  rule: LimitRule,
  { place, sample }: { place: Place; sample: Sample },
  context: JudgeContext,
): JudgedStep | null {
  const before = context.world.alarm({ placeId: place.id, rule });
  context.world.samples.set(before.id, sample);
  const held = heldAt(rule, place, sample.tMs, context);
  return held.on ? judgedOf(before, sample, held) : null;
}

/** What holds at a place at a moment. */
export function momentsOf(place: Place, context: JudgeContext): (atMs: number) => Moment {
  const { world, dayNight } = context;
  let last: (Moment & { readonly atMs: number }) | null = null;
  return (atMs) => {
    if (last?.atMs === atMs) return last;
    const { night, dayShare } = dayNight.at(place, atMs);
    const light = lightAt(place, atMs, world);
    last = { atMs, targets: world.targets(place.id, atMs), night, dayShare, light: light ?? !night };
    return last;
  };
}

type Judging = {
  readonly place: Place;
  readonly source: string;
  /** what the probe reported last, where that is known already */
  readonly latest?: LatestReadings;
  readonly moments: (atMs: number) => Moment;
};

function judgedOnce(rule: LimitRule, judging: Judging, context: JudgeContext): JudgedStep | null {
  const { place } = judging;
  const before = context.world.alarm({ placeId: place.id, rule });
  const sample = sampleOf(rule, judging, context);
  if (!sample) return null;
  const held = heldAt(rule, place, sample.tMs, context);
  return held.on ? judgedOf(before, sample, held) : null;
}

function judgedOf(before: AlarmRecord, sample: Sample, held: HeldRule): JudgedStep | null {
  const step = withLimitedSample(before, sample, held);
  if (step.record === before) return null;
  const condition = step.record.conditions[sample.source];
  return {
    before,
    step,
    keep: mustBeKept(before, step),
    dueAtMs: condition ? dueAtMs(condition, held) : null,
  };
}

/** Rules as they hold, by the settings and targets they follow from: asked for at every reading. */
const heldBefore = new WeakMap<Place, WeakMap<Targets, Map<LimitRule, HeldRule>>>();

function heldAt(rule: LimitRule, place: Place, atMs: number, context: JudgeContext): HeldRule {
  const held = heldBySheet(rule, place, atMs, context);
  const { fromFirst }: LimitRuleDefinition = LIMIT_RULE_DEFINITIONS[rule];
  const notBeforeMs = fromFirst ? 0 : context.world.settledFromMs(place.id, atMs);
  return notBeforeMs <= atMs ? held : { ...held, notBeforeMs };
}

function heldBySheet(rule: LimitRule, place: Place, atMs: number, { world }: JudgeContext): HeldRule {
  const targets = world.targets(place.id, atMs);
  const byPlace = heldBefore.get(place) ?? new WeakMap<Targets, Map<LimitRule, HeldRule>>();
  const rules = byPlace.get(targets) ?? new Map<LimitRule, HeldRule>();
  const known = rules.get(rule);
  if (known) return known;
  const held = heldRule(rule, { place, targets });
  heldBefore.set(place, byPlace.set(targets, rules.set(rule, held)));
  return held;
}

/** The newest value of a source with the limit that held at its time. */
function sampleOf(rule: LimitRule, judging: Judging, context: JudgeContext): Sample | null {
  const sampler = SAMPLERS[rule];
  if (sampler.by === 'record')
    return context.world.samples.get(alarmId({ placeId: judging.place.id, rule })) ?? null;
  const { source, moments } = judging;
  const valued =
    sampler.by === 'place' ? ofPlace(sampler, judging, context) : ofProbe(sampler, judging, context);
  if (!valued) return null;
  return { source, slopePerMin: null, ...valued, ...askedAt(rule, moments(valued.tMs)) };
}

/** What a rule asks at a moment. */
function askedAt(rule: LimitRule, moment: Moment): Pick<Sample, 'limit' | 'holdLimit' | 'unjudged'> {
  const { limitAt, holdAt, unjudged }: LimitRuleDefinition = LIMIT_RULE_DEFINITIONS[rule];
  const limit = limitAt(moment);
  const hold = holdAt === undefined ? {} : { holdLimit: holdAt(moment) };
  return limit === null ? { limit, ...hold, unjudged: unjudged(moment) } : { limit, ...hold };
}

type Valued = Pick<Sample, 'tMs' | 'value'> & Partial<Pick<Sample, 'slopePerMin' | 'recovers'>>;

function ofPlace(sampler: PlaceSampler, { place }: Judging, { world }: JudgeContext): Valued | null {
  const { maxGapMs } = place.settings;
  const [first, second] = sampler.pair;
  // many places have no second position: then the first need not be put together at each reading
  const others = newestAt(second, place, world);
  if (others.length === 0) return null;
  const ones = newestAt(first, place, world);
  const tMs = Math.max(...ones.map((one) => one.tMs), ...others.map((one) => one.tMs));
  const fresh = [freshAt(ones, { tMs, maxGapMs }), freshAt(others, { tMs, maxGapMs })] as const;
  const sample = joined(sampler, fresh);
  const recovers = recoveryOf([...ones, ...others], { tMs, maxGapMs });
  return sample && recovers ? { ...sample, recovers } : sample;
}

function ofProbe(sampler: ProbeSampler, judging: Judging, { world }: JudgeContext): Valued | null {
  const { place, source, moments } = judging;
  const probeId = Number(source);
  const probe = world.probes.get(probeId);
  const latest = judging.latest ?? (probe && measuredNow(probe, place, world));
  const quantity = probe ? baseQuantity(probe) : null;
  if (quantity === null || !latest) return null;
  const { tMs, value: read } = latest;
  if (sampler.asRead) return { tMs, value: read, slopePerMin: slopePerMin(latest) };
  const { maxGapMs, lightSource } = place.settings;
  const value = sampler.value(
    { tMs, value: read, quantity },
    {
      lxPerUmol: LX_PER_UMOL[lightSource],
      trail: world.trails.get(probeId) ?? [],
      moment: moments(tMs),
      fresh: (of) => freshAt(newestAt(of, place, world), { tMs, maxGapMs }),
    },
  );
  return value === null ? null : { tMs, value };
}

/** The newest reading of each probe at a position of a place. */
function newestAt(quantity: string, place: Place, world: World): LatestReadings[] {
  return world.probesOf(place.id).flatMap((probe) => {
    const one = probe.quantity === quantity ? measuredNow(probe, place, world) : null;
    return one ? [one] : [];
  });
}

/** What a probe reported last; null where that is no measurement of its place, or it reported nothing yet. */
function measuredNow(probe: Probe, place: Place, world: World): LatestReadings | null {
  const latest = world.latest.get(probe.id);
  if (!latest || world.isAway(probe.id, latest.tMs)) return null;
  const { tMs, value, recent } = latest;
  const { maxGapMs } = place.settings;
  return isSuspect({ quantity: baseQuantity(probe), tMs, value }, recent, { maxGapMs }) ? null : latest;
}

/** Whether there is light to lose water by, as the light probes report; null where none does. */
function lightAt(place: Place, atMs: number, world: World): boolean | null {
  let seen: boolean | null = null;
  for (const probe of world.probesOf(place.id)) {
    const { quantity } = probe;
    if (quantity !== 'light/ppfd' && quantity !== 'light/illuminance') continue;
    const latest = world.latest.get(probe.id);
    if (!latest || Math.abs(atMs - latest.tMs) > place.settings.maxGapMs) continue;
    const ppfd = ppfdOf({ quantity, value: latest.value }, LX_PER_UMOL[place.settings.lightSource]);
    seen = seen === true || ppfd >= IN_LIGHT_PPFD;
  }
  return seen;
}
