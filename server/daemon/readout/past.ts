import type { Place } from '../../../shared/model/place.ts';
import { SETTLED_MS } from '../../../shared/rules/rule.ts';
import { LIMIT_RULE_DEFINITIONS, type LimitRuleDefinition } from '../../../shared/rules/rules.ts';
import type { PastAlarmView, PastAnswer, TriableRule } from '../../../shared/wire/alarms/past.ts';
import type { Trial } from '../../../shared/wire/alarms/trial.ts';
import { SAMPLE_EVERY_MS } from '../../domain/alarms/limit-samples.ts';
import { heldRule } from '../../domain/alarms/limits.ts';
import { type LimitSpan, type PastAlarm, type PastSource, pastAlarms } from '../../domain/alarms/past.ts';
import { restsOn, SAMPLERS } from '../../domain/alarms/rules/registry.ts';
import type { Span } from '../../ports.ts';
import { baseQuantity, type RecordContext } from '../world/records.ts';
import { type Harm, type HarmReader, harmIn, harmReader } from './past-harm.ts';
import { type PastRecord, pastRecord } from './past-sources.ts';

const MINUTE_MS = 60_000;
const WEEK_MS = 7 * 86_400_000;
/** Readings of which the record is kept at hand between two moves of a slider: a month of 3 probes at 10 s, 20 MB. */
const MOST_AT_HAND = 1_000_000;

type PastQuery = { readonly rule: TriableRule; readonly span: Span; readonly trial: Trial };
type AtHand = PastRecord & { readonly mark: string; readonly whole: Harm; readonly harmOf: HarmReader };

/**
 * The alarms a rule would have raised over a stored span, with a limit and delays that are only tried, and how much
 * was past the place's own limit before and after each. What was tried last is kept at hand, as a slider asks for it
 * again and again; it is made again once anything it was made from has changed.
 */
export function createPast(context: RecordContext) {
  let last: AtHand | null = null;
  const recordAtHand = (place: Place, { rule, span }: PastQuery): AtHand => {
    const mark = markOf(place, { rule, span }, context);
    if (last?.mark === mark) return last;
    last = null;
    const record = pastRecord(rule, { place, span }, context);
    const maxGapMs = Math.max(place.settings.maxGapMs, isPeriodic(rule) ? 2 * SAMPLE_EVERY_MS : 0);
    const harmOf = harmReader(record.sources.map(known), {
      maxGapMs,
      own: record.own,
      definition: LIMIT_RULE_DEFINITIONS[rule],
    });
    const made = { ...record, mark, harmOf, whole: harmOf(span) };
    const readings = record.sources.reduce((sum, { values }) => sum + values.length, 0);
    if (readings <= MOST_AT_HAND) last = made;
    return made;
  };
  return (place: Place, query: PastQuery): PastAnswer =>
    answerOf(place, query, { context, record: recordAtHand(place, query) });
}

/** What is known of a source. */
function known(source: PastSource): PastSource {
  if (!source.values.some(Number.isNaN)) return source;
  const isKnown = (_: number, i: number) => !Number.isNaN(source.values[i]);
  return { ...source, timesMs: source.timesMs.filter(isKnown), values: source.values.filter(isKnown) };
}

function isPeriodic(rule: TriableRule): boolean {
  return SAMPLERS[rule].by === 'record';
}

function answerOf(
  place: Place,
  { rule, span, trial }: PastQuery,
  { context, record }: { context: RecordContext; record: AtHand },
): PastAnswer {
  const { sources, own, harmOf, whole } = record;
  const { limit } = trial;
  const limits = limit === undefined ? own : own.map((one) => tried(one, { rule, limit }));
  const targets = context.world.targets(place.id, span.toMs);
  const held = {
    ...heldRule(rule, { place, targets }),
    ...delaysOf(trial),
    ...settledOf(place, rule, context),
  };
  const alarms = pastAlarms({ sources, limits, held, staleAfterMs: place.settings.maxGapMs });
  const views = alarms.map((alarm) => viewOf(alarm, span, harmOf));
  const said = views.reduce((sum, { harmAfter }) => sum + harmAfter, 0);
  return {
    placeId: place.id,
    rule,
    unit: LIMIT_RULE_DEFINITIONS[rule].unit,
    harmIn: harmIn(LIMIT_RULE_DEFINITIONS[rule]),
    from: new Date(span.fromMs).toISOString(),
    to: new Date(span.toMs).toISOString(),
    coveredHours: whole.coveredHours,
    tried: {
      limit: limit ?? null,
      onDelayMin: held.onDelayMs / MINUTE_MS,
      offDelayMin: held.offDelayMs / MINUTE_MS,
      deadband: held.deadband,
    },
    alarms: views,
    perWeek: (views.length * WEEK_MS) / (span.toMs - span.fromMs),
    harm: whole.harm,
    harmUnsaid: Math.max(0, whole.harm - said),
  };
}

/** All that a record is made from, in short: readings by what their hours come to, and what is known of the place. */
function markOf(
  place: Place,
  { rule, span }: Pick<PastQuery, 'rule' | 'span'>,
  context: RecordContext,
): string {
  const { world, store } = context;
  const names = restsOn(rule);
  const wide = { fromMs: span.fromMs - SAMPLERS[rule].beforeMs, toMs: span.toMs };
  const history = world.history(place.id);
  const byLight = history.some(({ targets }) => targets.dayBy?.kind === 'light');
  const probes = world.probesOf(place.id).flatMap((probe) => {
    const quantity = baseQuantity(probe);
    const counts =
      quantity !== null && (names.includes(quantity) || (byLight && quantity.startsWith('light/')));
    if (!counts) return [];
    let [count, sum] = [0, 0];
    for (const hour of store.journal.hours(probe.id, wide)) {
      count += hour.count;
      sum += hour.area + hour.lastMs + hour.min + hour.max;
    }
    return [[probe.id, quantity, count, sum]];
  });
  const { settings, kind } = place;
  const vents = isPeriodic(rule) ? store.diary.vents(place.id) : null;
  const newestMs = vents === null ? null : Math.min(world.newestMs(place.id), span.toMs);
  return JSON.stringify([
    rule,
    span,
    place.id,
    settings,
    kind,
    history,
    vents,
    newestMs,
    // how long mist may stay away follows from the batches that stand there
    vents === null ? null : store.batches.atPlace(place.id),
    store.horizon.get(),
    probes,
  ]);
}

/** As live: most rules wait until a place has been on record for a while. */
function settledOf(
  place: Place,
  rule: TriableRule,
  { world, store }: RecordContext,
): { notBeforeMs?: number } {
  const { fromFirst }: LimitRuleDefinition = LIMIT_RULE_DEFINITIONS[rule];
  const startMs = store.journal.oldestMs(world.probesOf(place.id).map(({ id }) => id));
  return fromFirst || startMs === null ? {} : { notBeforeMs: startMs + SETTLED_MS };
}

function delaysOf({ onDelayMin, offDelayMin, deadband }: Trial) {
  return {
    ...(onDelayMin === undefined ? {} : { onDelayMs: onDelayMin * MINUTE_MS }),
    ...(offDelayMin === undefined ? {} : { offDelayMs: offDelayMin * MINUTE_MS }),
    ...(deadband === undefined ? {} : { deadband }),
  };
}

/** A tried limit holds where the place has one, by night only or in light only. */
function tried(own: LimitSpan, { rule, limit }: { rule: TriableRule; limit: number }): LimitSpan {
  const { byTargets }: LimitRuleDefinition = LIMIT_RULE_DEFINITIONS[rule];
  const { fromMs, toMs } = own;
  return own.limit === null && !byTargets ? own : { fromMs, toMs, limit };
}

function viewOf(alarm: PastAlarm, span: Span, harmOf: HarmReader): PastAlarmView {
  const { sinceMs, raisedMs, returnedMs, worst } = alarm;
  const clamp = (atMs: number) => Math.min(Math.max(atMs, span.fromMs), span.toMs);
  const [since, raised, end] = [clamp(sinceMs), clamp(raisedMs), clamp(returnedMs ?? span.toMs)];
  return {
    since: new Date(sinceMs).toISOString(),
    raised: new Date(raisedMs).toISOString(),
    returned: returnedMs === null ? null : new Date(returnedMs).toISOString(),
    worst,
    harmBefore: harmOf({ fromMs: since, toMs: raised }).harm,
    harmAfter: harmOf({ fromMs: raised, toMs: end }).harm,
  };
}
