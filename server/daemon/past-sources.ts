import { LX_PER_UMOL } from '../../shared/climate/light.ts';
import type { ProbeRecord } from '../../shared/exposure/series.ts';
import { type ThresholdSpan, thresholdSpans } from '../../shared/exposure/threshold.ts';
import type { Place } from '../../shared/model/place.ts';
import type { ProbeQuantityName } from '../../shared/quantities.ts';
import type { TriableRule } from '../../shared/wire/past.ts';
import { limitAt, type Moment } from '../domain/alarms/limits.ts';
import { COVERED, MIST_LOOK_MS, SATURATION_LOOK_MS, VENTS_LOOK_MS } from '../domain/alarms/looks.ts';
import type { LimitSpan, PastSource } from '../domain/alarms/past.ts';
import { dryLooks, openLooks, type PastLooks, saturatedLooks } from '../domain/alarms/past-looks.ts';
import { fallsOf, togetherOf } from '../domain/alarms/past-signals.ts';
import { IN_LIGHT_PPFD, ppfdOf, WHOLE_PLACE } from '../domain/alarms/signals.ts';
import { TRAIL_OVER_MS } from '../domain/alarms/trail.ts';
import { curveOf, OF_AIR, physical, type RecordsByQuantity } from '../domain/exposures/curves.ts';
import type { Span } from '../ports.ts';
import { mistSeen, ventsSeen } from './details.ts';
import { type RecordContext, recordsOf, spansOf } from './records.ts';

const DAY_MS = 86_400_000;
const LIGHT = ['light/ppfd', 'light/illuminance'] as const;
const AIR = ['air/temperature', 'air/humidity'] as const;

/** What a rule is tried on: where its readings come from, and how far before the span they are wanted. */
const FED: Readonly<Record<TriableRule, { names: readonly ProbeQuantityName[]; beforeMs?: number }>> = {
  'air-over-ceiling': { names: ['air/temperature'] },
  'air-far-over-ceiling': { names: ['air/temperature'] },
  'air-below-band-at-night': { names: ['air/temperature'] },
  'root-too-hot': { names: ['root/temperature'] },
  'root-below-band': { names: ['root/temperature'] },
  'root-falling-towards-air': { names: ['root/temperature', 'air/temperature'], beforeMs: TRAIL_OVER_MS },
  'vpd-above-band-in-light': { names: [...AIR, ...LIGHT] },
  'no-mist-in-light': {
    ...{ names: ['mist/valve', ...AIR, 'leaf/wetness', ...LIGHT], beforeMs: DAY_MS + MIST_LOOK_MS },
  },
  'vent-left-open': { names: AIR, beforeMs: VENTS_LOOK_MS },
  'saturated-too-long': { names: AIR, beforeMs: SATURATION_LOOK_MS },
  'air-warmer-than-root': { names: ['air/temperature', 'root/temperature'] },
  'light-over-peak': { names: LIGHT },
};

/** Quantities a rule is tried on. */
export function fedBy(rule: TriableRule): readonly ProbeQuantityName[] {
  return FED[rule].names;
}

/** How far before a span the readings of a rule are wanted, ms. */
export function beforeOf(rule: TriableRule): number {
  return FED[rule].beforeMs ?? 0;
}

/** What a rule is stepped through over a span, and the limits the place had. */
export type PastRecord = { readonly sources: readonly PastSource[]; readonly own: readonly LimitSpan[] };

type Piece = Span & Moment;
type Gathered = {
  readonly place: Place;
  readonly span: Span;
  readonly records: RecordsByQuantity;
  readonly context: RecordContext;
};

/** Makes what a rule of a place is tried on over a span, by the very recognisers of the live alarm. */
export function pastRecord(
  rule: TriableRule,
  asked: { place: Place; span: Span },
  context: RecordContext,
): PastRecord {
  const { place, span } = asked;
  const wide = { fromMs: span.fromMs - beforeOf(rule), toMs: span.toMs };
  const gathered = { place, span, records: recordsOf(place, wide, fedBy(rule), context), context };
  const pieces = piecesOf(rule, gathered);
  const looks = looksOf(rule, pieces, gathered);
  if (looks) return { sources: [looks.source], own: looks.limits };
  const own = pieces.map(({ fromMs, toMs, ...moment }) => ({ fromMs, toMs, limit: limitAt(rule, moment) }));
  return { sources: sourcesOf(rule, pieces, gathered).map((source) => within(source, span)), own };
}

/** What held when: targets, night, and light where the rule asks for it. */
function piecesOf(rule: TriableRule, { place, span, records, context }: Gathered): Piece[] {
  const asksLight = rule === 'vpd-above-band-in-light' || rule === 'no-mist-in-light';
  const ppfd = asksLight ? curveOf('ppfdUmolM2S', { records, settings: place.settings }).segments : null;
  const lit = ppfd ? thresholdSpans(ppfd, IN_LIGHT_PPFD, span) : [];
  return spansOf(place, span, context).flatMap(({ targets, night, ...part }) =>
    cutByLight(part, lit).map(({ light, ...piece }) => ({
      ...{ ...piece, targets, night },
      light: light ?? !night,
    })),
  );
}

type Lit = Span & { readonly light: boolean | null };

function cutByLight(part: Span, lit: readonly ThresholdSpan[]): Lit[] {
  const cuts: Lit[] = [];
  let atMs = part.fromMs;
  for (const { fromMs, toMs, above } of lit) {
    if (toMs <= atMs || fromMs >= part.toMs) continue;
    if (fromMs > atMs) cuts.push({ fromMs: atMs, toMs: fromMs, light: null });
    const end = Math.min(toMs, part.toMs);
    cuts.push({ fromMs: Math.max(fromMs, atMs), toMs: end, light: above });
    atMs = end;
  }
  if (atMs < part.toMs) cuts.push({ fromMs: atMs, toMs: part.toMs, light: null });
  return cuts;
}

/** What the watch would have looked up; null for rules that are judged by their readings. */
function looksOf(rule: TriableRule, pieces: readonly Piece[], gathered: Gathered): PastLooks | null {
  const { place, records, context } = gathered;
  // the watch looks only while a place tells something
  const span = { ...gathered.span, untilMs: context.world.newestMs(place.id) + 1 };
  const moment = reader(pieces);
  const ownAt = (tMs: number) => limitAt(rule, moment(tMs));
  const wide = { fromMs: span.fromMs - beforeOf(rule), toMs: span.toMs };
  if (rule === 'no-mist-in-light') {
    const { mist, light, intervalMs } = mistSeen(place, records, wide);
    const { maxGapMs } = place.settings;
    return dryLooks(mist, { span, light, lit: (tMs) => moment(tMs).light, intervalMs, maxGapMs });
  }
  if (rule === 'vent-left-open') {
    const { vents, reliable } = ventsSeen(place, records, context);
    const covered = COVERED.includes(place.kind);
    const counted = vents.filter(({ how }) => covered || how === 'logged');
    return openLooks(counted, { span, reliable, limitAt: ownAt });
  }
  if (rule !== 'saturated-too-long') return null;
  const { saturation: saturated } = context.world.targets(place.id, span.toMs);
  const humidity = curveOf('relativeHumidityPct', { records, settings: place.settings }).segments;
  const saturation = thresholdSpans(humidity, saturated.relativeHumidityPct, wide);
  const { vents } = ventsSeen(place, records, context);
  return saturatedLooks(vents, { span, saturation, limitAt: ownAt });
}

function sourcesOf(rule: TriableRule, pieces: readonly Piece[], gathered: Gathered): PastSource[] {
  const { place, records } = gathered;
  const { settings } = place;
  const { maxGapMs } = settings;
  const [air, root] = [records['air/temperature'] ?? [], records['root/temperature'] ?? []];
  if (rule === 'vpd-above-band-in-light') {
    const f = (airTemperatureC: number, relativeHumidityPct: number) =>
      OF_AIR.airVpdKpa(physical({ airTemperatureC, relativeHumidityPct }));
    return [{ source: WHOLE_PLACE, ...togetherOf(air, records['air/humidity'] ?? [], { maxGapMs, f }) }];
  }
  if (rule === 'air-warmer-than-root')
    return [{ source: WHOLE_PLACE, ...togetherOf(air, root, { maxGapMs, f: (a, b) => a - b }) }];
  if (rule === 'root-falling-towards-air') {
    return root.map((one, i) => {
      const moment = reader(pieces);
      const bandLowC = (tMs: number) => {
        const { targets, night } = moment(tMs);
        return targets.rootZone[night ? 'night' : 'day'].lowC;
      };
      return { source: `root/${i}`, ...fallsOf(one, { airs: air, maxGapMs, bandLowC }) };
    });
  }
  return fedBy(rule).flatMap((quantity) =>
    (records[quantity] ?? []).map((one, i) => ({
      source: `${quantity}/${i}`,
      timesMs: one.timesMs,
      values: inUnitOfRule(one, quantity, LX_PER_UMOL[settings.lightSource]),
    })),
  );
}

function inUnitOfRule({ values }: ProbeRecord, quantity: string, lxPerUmol: number): Float64Array {
  if (quantity !== 'light/illuminance') return values;
  return values.map((value) => ppfdOf({ quantity, value }, lxPerUmol));
}

/** Reads contiguous pieces at times that only grow; the first holds before its start too. */
function reader(pieces: readonly Piece[]): (tMs: number) => Piece {
  let at = 0;
  return (tMs) => {
    while (at < pieces.length - 1 && tMs >= (pieces[at] as Piece).toMs) at += 1;
    return pieces[at] as Piece;
  };
}

function within(source: PastSource, { fromMs, toMs }: Span): PastSource {
  const [first, end] = [placeOf(source.timesMs, fromMs), placeOf(source.timesMs, toMs)];
  const { timesMs, values } = source;
  return { ...source, timesMs: timesMs.subarray(first, end), values: values.subarray(first, end) };
}

/** Where the first time that is not before the given one stands. */
function placeOf(timesMs: Float64Array, tMs: number): number {
  let [low, high] = [0, timesMs.length];
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((timesMs[middle] as number) < tMs) low = middle + 1;
    else high = middle;
  }
  return low;
}
