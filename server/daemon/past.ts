import { LX_PER_UMOL } from '../../shared/climate/light.ts';
import { segmentsOf } from '../../shared/exposure/coverage.ts';
import { excessOver } from '../../shared/exposure/integrate.ts';
import type { ProbeRecord, Segments } from '../../shared/exposure/series.ts';
import { thresholdSpans } from '../../shared/exposure/threshold.ts';
import { LIMIT_SHEETS } from '../../shared/model/alarm-rules.ts';
import type { Place } from '../../shared/model/place.ts';
import type { ProbeQuantityName } from '../../shared/quantities.ts';
import type { PastAlarmView, PastAnswer, TriableRule } from '../../shared/wire/past.ts';
import type { Trial } from '../../shared/wire/trial.ts';
import { heldRule, limitAt } from '../domain/alarms/limits.ts';
import { type LimitSpan, type PastAlarm, type PastSource, pastAlarms } from '../domain/alarms/past.ts';
import { IN_LIGHT_PPFD, ppfdOf, WHOLE_PLACE } from '../domain/alarms/signals.ts';
import { curveOf } from '../domain/exposures/curves.ts';
import type { Span } from '../ports.ts';
import { type RecordContext, recordsOf, spansOf } from './records.ts';

const MINUTE_MS = 60_000;
const WEEK_MS = 7 * 86_400_000;

const QUANTITY: Readonly<Record<TriableRule, readonly ProbeQuantityName[]>> = {
  'air-over-ceiling': ['air/temperature'],
  'air-far-over-ceiling': ['air/temperature'],
  'air-below-band-at-night': ['air/temperature'],
  'root-too-hot': ['root/temperature'],
  'root-below-band': ['root/temperature'],
  'vpd-above-band-in-light': ['air/temperature', 'air/humidity', 'light/ppfd', 'light/illuminance'],
  'light-over-peak': ['light/ppfd', 'light/illuminance'],
};

type PastQuery = { readonly rule: TriableRule; readonly span: Span; readonly trial: Trial };

/**
 * The alarms a rule would have raised over a stored span, with a limit and delays that are only tried, and how much
 * was past the place's own limit before and after each.
 */
export function tryOnPast(
  place: Place,
  { rule, span, trial }: PastQuery,
  context: RecordContext,
): PastAnswer {
  const records = recordsOf(place, span, QUANTITY[rule], context);
  const own = ownLimits(rule, place, { span, records }, context);
  const { limit } = trial;
  const limits = limit === undefined ? own : own.map((one) => tried(one, { rule, limit }));
  const sources = sourcesOf(rule, place, records);
  const targets = context.world.targets(place.id, span.toMs);
  const held = { ...heldRule(rule, { settings: place.settings, targets }), ...delaysOf(trial) };
  const { maxGapMs } = place.settings;
  const inSpan = sources.map((source) => within(source, span));
  const alarms = pastAlarms({ sources: inSpan, limits, held, staleAfterMs: maxGapMs });
  const harmIn = harmReader(inSpan, { maxGapMs, own, below: held.sense === 'below' });
  const views = alarms.map((alarm) => viewOf(alarm, span, harmIn));
  const whole = harmIn(span);
  const said = views.reduce((sum, { harmAfter }) => sum + harmAfter, 0);
  return {
    ...{ placeId: place.id, rule, unit: LIMIT_SHEETS[rule].unit },
    ...{ from: new Date(span.fromMs).toISOString(), to: new Date(span.toMs).toISOString() },
    coveredHours: whole.coveredHours,
    tried: {
      limit: limit ?? null,
      onDelayMin: held.onDelayMs / MINUTE_MS,
      offDelayMin: held.offDelayMs / MINUTE_MS,
      deadband: held.deadband,
    },
    alarms: views,
    perWeek: (views.length * WEEK_MS) / (span.toMs - span.fromMs),
    harm: whole.unitHours,
    harmUnsaid: Math.max(0, whole.unitHours - said),
  };
}

function delaysOf({ onDelayMin, offDelayMin, deadband }: Trial) {
  return {
    ...(onDelayMin === undefined ? {} : { onDelayMs: onDelayMin * MINUTE_MS }),
    ...(offDelayMin === undefined ? {} : { offDelayMs: offDelayMin * MINUTE_MS }),
    ...(deadband === undefined ? {} : { deadband }),
  };
}

/** A tried limit holds where the place has one, by night only or in light only; a peak of light everywhere. */
function tried(own: LimitSpan, { rule, limit }: { rule: TriableRule; limit: number }): LimitSpan {
  return own.limit === null && rule !== 'light-over-peak' ? own : { ...own, limit };
}

type Records = ReturnType<typeof recordsOf>;

function ownLimits(
  rule: TriableRule,
  place: Place,
  { span, records }: { span: Span; records: Records },
  context: RecordContext,
): LimitSpan[] {
  const spans = spansOf(place, span, context);
  const { settings } = place;
  const lit =
    rule === 'vpd-above-band-in-light'
      ? thresholdSpans(curveOf('ppfdUmolM2S', { records, settings }).segments, IN_LIGHT_PPFD, span)
      : [];
  return spans.flatMap(({ targets, night, ...part }) =>
    cutByLight(part, lit).map(({ light, ...piece }) => ({
      ...piece,
      limit: limitAt(rule, { targets, night, light: light ?? !night }),
    })),
  );
}

type Lit = Span & { readonly light: boolean | null };

function cutByLight(part: Span, lit: readonly { fromMs: number; toMs: number; above: boolean }[]): Lit[] {
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

function sourcesOf(rule: TriableRule, place: Place, records: Records): PastSource[] {
  const { settings } = place;
  if (rule === 'vpd-above-band-in-light') {
    const { timesMs, values } = curveOf('airVpdKpa', { records, settings }).knots;
    return [{ source: WHOLE_PLACE, timesMs, values }];
  }
  const lxPerUmol = LX_PER_UMOL[settings.lightSource];
  return QUANTITY[rule].flatMap((quantity) =>
    (records[quantity] ?? []).map(({ timesMs, values }, i) => ({
      source: `${quantity}/${i}`,
      timesMs,
      values:
        quantity === 'light/illuminance'
          ? values.map((value) => ppfdOf({ quantity, value }, lxPerUmol))
          : values,
    })),
  );
}

function within(source: PastSource, { fromMs, toMs }: Span): PastSource {
  const first = source.timesMs.findIndex((tMs) => tMs >= fromMs);
  if (first < 0) return { ...source, timesMs: new Float64Array(0), values: new Float64Array(0) };
  const after = source.timesMs.findIndex((tMs) => tMs >= toMs);
  const end = after < 0 ? source.timesMs.length : after;
  return {
    ...source,
    timesMs: source.timesMs.subarray(first, end),
    values: source.values.subarray(first, end),
  };
}

type Harm = { readonly coveredHours: number; readonly unitHours: number };

/** What was past the place's own limit in a window: of the source that was furthest past it. */
function harmReader(
  sources: readonly PastSource[],
  { maxGapMs, own, below }: { maxGapMs: number; own: readonly LimitSpan[]; below: boolean },
): (window: Span) => Harm {
  const sign = below ? -1 : 1;
  const pieces = own.map(({ limit, ...piece }) => ({
    ...piece,
    limit: limit === null ? null : sign * limit,
  }));
  const segments = sources.map(({ timesMs, values }) =>
    segmentsOf(signed({ timesMs, values }, sign), { maxGapMs }),
  );
  const inWindow = (one: Segments, window: Span): Harm => {
    const { coveredHours, unitHoursOver } = excessOver(one, pieces, window);
    return { coveredHours, unitHours: unitHoursOver };
  };
  return (window) => {
    if (window.toMs <= window.fromMs) return { coveredHours: 0, unitHours: 0 };
    const all = segments.map((one) => inWindow(one, window));
    return {
      coveredHours: Math.max(0, ...all.map(({ coveredHours }) => coveredHours)),
      unitHours: Math.max(0, ...all.map(({ unitHours }) => unitHours)),
    };
  };
}

function signed(record: ProbeRecord, sign: 1 | -1): ProbeRecord {
  return sign === 1 ? record : { timesMs: record.timesMs, values: record.values.map((value) => -value) };
}

function viewOf(alarm: PastAlarm, span: Span, harmIn: (window: Span) => Harm): PastAlarmView {
  const { sinceMs, raisedMs, returnedMs, worst } = alarm;
  const clamp = (atMs: number) => Math.min(Math.max(atMs, span.fromMs), span.toMs);
  const [since, raised, end] = [clamp(sinceMs), clamp(raisedMs), clamp(returnedMs ?? span.toMs)];
  return {
    since: new Date(sinceMs).toISOString(),
    raised: new Date(raisedMs).toISOString(),
    returned: returnedMs === null ? null : new Date(returnedMs).toISOString(),
    worst,
    harmBefore: harmIn({ fromMs: since, toMs: raised }).unitHours,
    harmAfter: harmIn({ fromMs: raised, toMs: end }).unitHours,
  };
}
