import { LX_PER_UMOL } from '../../shared/climate/light.ts';
import { isLimitRule, LIMIT_RULES, type LimitRule } from '../../shared/model/alarm-rules.ts';
import type { Place } from '../../shared/model/place.ts';
import type { Probe } from '../../shared/model/probe.ts';
import type { Targets } from '../../shared/model/targets.ts';
import { runsOutMs } from '../domain/alarms/condition.ts';
import {
  firstRunsOutMs,
  mustBeKept,
  type Sample,
  withLimitedSample,
  withTimePassing,
} from '../domain/alarms/limit-alarm.ts';
import { type HeldRule, heldRule, limitAt, type Moment } from '../domain/alarms/limits.ts';
import type { AlarmRecord, AlarmStep } from '../domain/alarms/record.ts';
import {
  airAboveRootNow,
  FED_BY,
  type Fresh,
  fallTowardsAir,
  IN_LIGHT_PPFD,
  ppfdOf,
  vpdNow,
  WHOLE_PLACE,
} from '../domain/alarms/signals.ts';
import { fallPerHour } from '../domain/alarms/trail.ts';
import { type Heard, slopePerMin } from '../domain/present/heard.ts';
import { isSuspect } from '../domain/probes/left-out.ts';
import type { Halves } from './halves.ts';
import { baseQuantity } from './records.ts';
import type { World } from './world.ts';

export type JudgeContext = { readonly world: World; readonly halves: Halves };

/** A step of an alarm, whether it must be kept or only remembered, and when its on-delay runs out, ms since epoch. */
export type JudgedStep = {
  readonly before: AlarmRecord;
  readonly step: AlarmStep;
  readonly keep: boolean;
  readonly runsOutMs: number | null;
};

/** Judges a reading that is news by the rules that look at its probe alone. */
export function judgeProbe(probe: Probe, context: JudgeContext): JudgedStep[] {
  const place = probe.placeId === null ? undefined : context.world.places.get(probe.placeId);
  const rules = feedsOf(probe)?.each ?? [];
  // no alarm may rest on what is no measurement
  const heard = place ? measuredNow(probe, place, context.world) : null;
  return place && heard ? judgedBy(rules, { place, source: String(probe.id), heard }, context) : [];
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
  return quantity === null ? undefined : FED_BY[quantity];
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
    return step.record === before ? [] : [{ before, step, keep: true, runsOutMs: null }];
  });
}

/** When the first on-delay of all that run will have run out, ms since epoch; null where none runs. */
export function nextRunsOutMs(nowMs: number, context: JudgeContext): number | null {
  const { world } = context;
  let next = Number.POSITIVE_INFINITY;
  for (const { placeId, rule, conditions } of world.alarms.values()) {
    const place = placeId === null ? undefined : world.places.get(placeId);
    if (!place || !isLimitRule(rule) || !isArming(conditions)) continue;
    const held = heldAt(rule, place, nowMs, context);
    if (held.on) next = Math.min(next, firstRunsOutMs({ conditions }, held) ?? next);
  }
  return Number.isFinite(next) ? next : null;
}

function isArming(conditions: AlarmRecord['conditions']): boolean {
  return Object.values(conditions).some(({ phase }) => phase === 'arming');
}

/** Judges a value of the place that was looked up in its record, with the limit it is held to. */
export function judgeLookedUp(
  rule: LimitRule,
  { place, sample }: { place: Place; sample: Sample },
  context: JudgeContext,
): JudgedStep | null {
  const before = context.world.alarm({ placeId: place.id, rule });
  const held = heldAt(rule, place, sample.tMs, context);
  if (!held.on && before.state === 'normal') return null;
  return judgedOf(before, held.on ? sample : { ...sample, limit: null }, held);
}

/** What holds at a place at a moment. */
export function momentsOf(place: Place, context: JudgeContext): (atMs: number) => Moment {
  const { world, halves } = context;
  let last: (Moment & { readonly atMs: number }) | null = null;
  return (atMs) => {
    if (last?.atMs === atMs) return last;
    const night = halves.nightAt(place, atMs);
    const light = lightAt(place, atMs, world);
    last = { atMs, targets: world.targets(place.id, atMs), night, light: light ?? !night };
    return last;
  };
}

type Judging = {
  readonly place: Place;
  readonly source: string;
  /** what the probe told last, where that is known already */
  readonly heard?: Heard;
  readonly moments: (atMs: number) => Moment;
};

function judgedOnce(rule: LimitRule, judging: Judging, context: JudgeContext): JudgedStep | null {
  const { place } = judging;
  const before = context.world.alarm({ placeId: place.id, rule });
  const sample = sampleOf(rule, judging, context);
  if (!sample) return null;
  const held = heldAt(rule, place, sample.tMs, context);
  if (!held.on && before.state === 'normal') return null;
  return judgedOf(before, held.on ? sample : { ...sample, limit: null }, held);
}

function judgedOf(before: AlarmRecord, sample: Sample, held: HeldRule): JudgedStep | null {
  const step = withLimitedSample(before, sample, held);
  if (step.record === before) return null;
  const condition = step.record.conditions[sample.source];
  return {
    ...{ before, step, keep: mustBeKept(before, step) },
    runsOutMs: condition ? runsOutMs(condition, held) : null,
  };
}

/** Rules as they hold, by the settings and targets they follow from: asked for at every reading. */
const heldBefore = new WeakMap<Place['settings'], WeakMap<Targets, Map<LimitRule, HeldRule>>>();

function heldAt(rule: LimitRule, place: Place, atMs: number, { world }: JudgeContext): HeldRule {
  const { settings } = place;
  const targets = world.targets(place.id, atMs);
  const bySettings = heldBefore.get(settings) ?? new WeakMap<Targets, Map<LimitRule, HeldRule>>();
  const rules = bySettings.get(targets) ?? new Map<LimitRule, HeldRule>();
  const known = rules.get(rule);
  if (known) return known;
  const held = heldRule(rule, { settings, targets });
  heldBefore.set(settings, bySettings.set(targets, rules.set(rule, held)));
  return held;
}

/** The newest value of a source with the limit that held at its time. */
function sampleOf(rule: LimitRule, judging: Judging, context: JudgeContext): Sample | null {
  const { source, moments } = judging;
  const valued = source === WHOLE_PLACE ? ofPlace(rule, judging, context) : ofProbe(rule, judging, context);
  if (!valued) return null;
  const limit = limitAt(rule, moments(valued.tMs));
  return { source, slopePerMin: null, ...valued, limit };
}

type Valued = { readonly tMs: number; readonly value: number; readonly slopePerMin?: number | null };

function ofPlace(rule: LimitRule, { place }: Judging, { world }: JudgeContext): Valued | null {
  const fresh = (quantity: string) => freshOf(quantity, place, world);
  // many places have no second position: then the first need not be put together at each reading
  const other = fresh(rule === 'vpd-above-band-in-light' ? 'air/humidity' : 'root/temperature');
  if (!other) return null;
  const air = fresh('air/temperature');
  return rule === 'vpd-above-band-in-light' ? vpdNow(air, other) : airAboveRootNow(air, other);
}

function ofProbe(rule: LimitRule, judging: Judging, { world }: JudgeContext): Valued | null {
  const { place, source, moments } = judging;
  const probeId = Number(source);
  const probe = world.probes.get(probeId);
  const heard = judging.heard ?? (probe && measuredNow(probe, place, world));
  if (!probe || !heard) return null;
  const { tMs, value } = heard;
  if (rule === 'light-over-peak') {
    const { quantity } = probe;
    return { tMs, value: ppfdOf({ quantity, value }, LX_PER_UMOL[place.settings.lightSource]) };
  }
  if (rule !== 'root-falling-towards-air') return { tMs, value, slopePerMin: slopePerMin(heard) };
  const { targets, night } = moments(tMs);
  const fall = fallTowardsAir({
    fallKPerH: fallPerHour(world.trails.get(probeId) ?? [], heard),
    rootC: value,
    bandLowC: targets.rootZone[night ? 'night' : 'day'].lowC,
    air: freshOf('air/temperature', place, world),
  });
  return fall === null ? null : { tMs, value: fall };
}

/** The newest values of a position that lie no further back than a gap may last, counted from the newest of them. */
function freshOf(quantity: string, place: Place, world: World): Fresh {
  const heard = world.probesOf(place.id).flatMap((probe) => {
    const one = probe.quantity === quantity ? measuredNow(probe, place, world) : null;
    return one ? [one] : [];
  });
  if (heard.length === 0) return null;
  const newestMs = world.newestMs(place.id);
  const fresh = heard.filter(({ tMs }) => newestMs - tMs <= place.settings.maxGapMs);
  if (fresh.length === 0) return null;
  return { tMs: Math.max(...fresh.map(({ tMs }) => tMs)), values: fresh.map(({ value }) => value) };
}

/** What a probe told last; null where that is no measurement of its place, or it told nothing yet. */
function measuredNow(probe: Probe, place: Place, world: World): Heard | null {
  const heard = world.heard.get(probe.id);
  if (!heard || world.isAway(probe.id, heard.tMs)) return null;
  const { tMs, value, recent } = heard;
  const { maxGapMs } = place.settings;
  return isSuspect({ quantity: baseQuantity(probe), tMs, value }, recent, { maxGapMs }) ? null : heard;
}

/** Whether there is light to lose water by, as the light probes tell; null where none does. */
function lightAt(place: Place, atMs: number, world: World): boolean | null {
  let seen: boolean | null = null;
  for (const probe of world.probesOf(place.id)) {
    const { quantity } = probe;
    if (quantity !== 'light/ppfd' && quantity !== 'light/illuminance') continue;
    const heard = world.heard.get(probe.id);
    if (!heard || Math.abs(atMs - heard.tMs) > place.settings.maxGapMs) continue;
    const ppfd = ppfdOf({ quantity, value: heard.value }, LX_PER_UMOL[place.settings.lightSource]);
    seen = seen === true || ppfd >= IN_LIGHT_PPFD;
  }
  return seen;
}
