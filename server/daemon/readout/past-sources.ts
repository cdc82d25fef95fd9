import { LX_PER_UMOL } from '../../../shared/climate/light.ts';
import { mergedTimesMs, type ProbeRecord } from '../../../shared/exposure/series.ts';
import type { Place } from '../../../shared/model/place.ts';
import type { ProbeQuantityName } from '../../../shared/quantities.ts';
import { LIMIT_RULE_DEFINITIONS, type LimitRuleDefinition } from '../../../shared/rules/rules.ts';
import type { TriableRule } from '../../../shared/wire/alarms/past.ts';
import type { LimitSpan, PastSource } from '../../domain/alarms/past.ts';
import { restsOn, SAMPLERS } from '../../domain/alarms/rules/registry.ts';
import type { LimitSample, PlaceSampler, ProbeSampler } from '../../domain/alarms/rules/sampler.ts';
import { freshAt, joined, recoveryOf, WHOLE_PLACE } from '../../domain/alarms/signals.ts';
import { type Trail, withStep } from '../../domain/alarms/trail.ts';
import type { RecordsByQuantity } from '../../domain/exposures/curves.ts';
import type { Span } from '../../ports.ts';
import { type MomentSpan, momentAt, momentSpans, readingMoments } from '../world/moments.ts';
import { type RecordContext, recordsOf } from '../world/records.ts';
import { samplesOf } from './limit-samples.ts';

/** What a rule is stepped through over a span, and the limits the place had. */
export type PastRecord = { readonly sources: readonly PastSource[]; readonly own: readonly LimitSpan[] };

type RecordAndMoments = {
  readonly place: Place;
  readonly records: RecordsByQuantity;
  readonly moments: readonly MomentSpan[];
};

/** Makes what a rule of a place is tried on over a span, by the very samplers of the live alarm. */
export function pastRecord(
  rule: TriableRule,
  { place, span }: { place: Place; span: Span },
  context: RecordContext,
): PastRecord {
  const samples = samplesOf(rule, { place, span }, context);
  if (samples) return { sources: [sampleSource(samples)], own: sampleLimits(samples, span) };
  const sampler = SAMPLERS[rule];
  const { limitAt, holdAt, watches }: LimitRuleDefinition = LIMIT_RULE_DEFINITIONS[rule];
  const wide = { fromMs: span.fromMs - sampler.beforeMs, toMs: span.toMs };
  const records = recordsOf(place, wide, restsOn(rule), context);
  const moments = momentSpans({ place, span: wide, records }, context);
  const collected = { place, records, moments };
  const sources =
    sampler.by === 'place'
      ? [ofPlace(sampler, collected)]
      : sampler.by === 'probe'
        ? watches.quantities.flatMap((quantity) => ofProbes(sampler, quantity, collected))
        : [];
  const own = moments
    .filter(({ toMs }) => toMs > span.fromMs)
    .map((moment) => ({
      ...limitOver(moment, limitAt),
      ...(holdAt === undefined ? {} : { hold: limitOver(moment, holdAt) }),
    }));
  return { sources: sources.map((source) => within(source, span)), own: merged(own) };
}

/** The limit over a stretch in which its band stands still, or moves. */
function limitOver(span: MomentSpan, limitAt: LimitRuleDefinition['limitAt']): LimitSpan {
  const { fromMs, toMs, move } = span;
  const at = (tMs: number) => limitAt(momentAt(span, tMs));
  const limit = at(fromMs);
  // the band of another position moves, or its band is the same by day and night
  const stays = move === null || (limit === at(toMs) && limit === at((fromMs + toMs) / 2));
  return stays ? { fromMs, toMs, limit } : { fromMs, toMs, limit, at };
}

function sampleSource(samples: readonly LimitSample[]): PastSource {
  const known = samples.filter(({ value }) => value !== null);
  return {
    source: WHOLE_PLACE,
    timesMs: Float64Array.from(known, ({ tMs }) => tMs),
    values: Float64Array.from(known, ({ value }) => value as number),
    recovers: (i, sinceMs) => known[i]?.recovers?.(sinceMs) !== false,
  };
}

/** A limit holds from its sample to the next; before the first there is none. */
function sampleLimits(samples: readonly LimitSample[], span: Span): LimitSpan[] {
  const [first] = samples;
  if (!first) return [{ ...span, limit: null }];
  const limits = samples.map(({ tMs, limit }, i) => ({
    fromMs: tMs,
    toMs: samples[i + 1]?.tMs ?? span.toMs,
    limit,
  }));
  const before = first.tMs > span.fromMs ? [{ fromMs: span.fromMs, toMs: first.tMs, limit: null }] : [];
  return merged([...before, ...limits]);
}

function merged(limits: readonly LimitSpan[]): LimitSpan[] {
  const kept: LimitSpan[] = [];
  for (const span of limits) {
    const last = kept.at(-1);
    const isOne = last && !last.at && !span.at && !last.hold && !span.hold && last.limit === span.limit;
    if (isOne && last.toMs === span.fromMs) kept[kept.length - 1] = { ...last, toMs: span.toMs };
    else kept.push(span);
  }
  return kept;
}

/** The value of two positions at every time at which one of them was read. */
function ofPlace(sampler: PlaceSampler, { place, records }: RecordAndMoments): PastSource {
  const [first, second] = sampler.pair.map((quantity) => records[quantity] ?? []) as [
    ProbeRecord[],
    ProbeRecord[],
  ];
  const { maxGapMs } = place.settings;
  const [ones, others] = [newestReader(first), newestReader(second)];
  const recoveries: ReturnType<typeof recoveryOf>[] = [];
  const sink = createSink();
  for (const tMs of mergedTimesMs([...first, ...second])) {
    const at = { tMs, maxGapMs };
    const [oneEach, otherEach] = [ones(tMs), others(tMs)];
    const sample = joined(sampler, [freshAt(oneEach, at), freshAt(otherEach, at)]);
    recoveries.push(recoveryOf([...oneEach, ...otherEach], at));
    sink.put(tMs, sample?.value ?? Number.NaN);
  }
  const recovers = (i: number, sinceMs: number) => recoveries[i]?.(sinceMs) !== false;
  return { source: WHOLE_PLACE, ...sink.record(), recovers };
}

function ofProbes(
  sampler: ProbeSampler,
  quantity: ProbeQuantityName,
  collected: RecordAndMoments,
): PastSource[] {
  return (collected.records[quantity] ?? []).map((record, i) => ({
    source: `${quantity}/${i}`,
    ...(sampler.asRead ? record : sampled(sampler, { quantity, record }, collected)),
  }));
}

function sampled(
  sampler: ProbeSampler,
  { quantity, record }: { quantity: ProbeQuantityName; record: ProbeRecord },
  { place, records, moments }: RecordAndMoments,
): ProbeRecord {
  const { maxGapMs, lightSource } = place.settings;
  const moment = readingMoments(moments);
  const newest = new Map(sampler.beside.map((of) => [of, newestReader(records[of] ?? [])]));
  const lxPerUmol = LX_PER_UMOL[lightSource];
  const remembers = sampler.beforeMs > 0;
  const sink = createSink();
  let trail: Trail = [];
  for (let i = 0; i < record.timesMs.length; i += 1) {
    const reading = { tMs: record.timesMs[i] as number, value: record.values[i] as number, quantity };
    const { tMs } = reading;
    if (remembers) trail = withStep(trail, reading);
    const fresh = (of: ProbeQuantityName) => freshAt(newest.get(of)?.(tMs) ?? [], { tMs, maxGapMs });
    const value = sampler.value(reading, { lxPerUmol, trail, moment: moment(tMs), fresh });
    sink.put(tMs, value ?? Number.NaN);
  }
  return sink.record();
}

/** The newest reading of each record at times that only grow. */
function newestReader(records: readonly ProbeRecord[]) {
  const next = records.map(() => 0);
  return (tMs: number) => {
    const newest: { tMs: number; value: number }[] = [];
    for (const [probe, { timesMs, values }] of records.entries()) {
      let at = next[probe] as number;
      while (at < timesMs.length && (timesMs[at] as number) <= tMs) at += 1;
      next[probe] = at;
      if (at > 0) newest.push({ tMs: timesMs[at - 1] as number, value: values[at - 1] as number });
    }
    return newest;
  };
}

function createSink() {
  const [timesMs, values]: [number[], number[]] = [[], []];
  return {
    put(tMs: number, value: number) {
      timesMs.push(tMs);
      values.push(value);
    },
    record: (): ProbeRecord => ({
      timesMs: Float64Array.from(timesMs),
      values: Float64Array.from(values),
    }),
  };
}

function within(source: PastSource, { fromMs, toMs }: Span): PastSource {
  const [first, end] = [placeOf(source.timesMs, fromMs), placeOf(source.timesMs, toMs)];
  const { timesMs, values } = source;
  return {
    ...source,
    timesMs: timesMs.subarray(first, end),
    values: values.subarray(first, end),
    ...(source.recovers && {
      recovers: (i: number, sinceMs: number) => source.recovers?.(first + i, sinceMs) !== false,
    }),
  };
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
