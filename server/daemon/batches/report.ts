import type { AlarmEvent } from '../../../shared/model/alarms/alarm.ts';
import type { Place } from '../../../shared/model/place.ts';
import { RULES } from '../../../shared/rules/rules.ts';
import type { BatchReport, ReportedAlarm, WorstHour } from '../../../shared/wire/cuttings/report.ts';
import type { ExcursionKind } from '../../../shared/wire/places/night.ts';
import type { KeptBatch } from '../../domain/batches/batch.ts';
import { aboutBatch, END_MS, entryView } from '../../domain/diary/view.ts';
import { type HarmedHour, harmedHours } from '../../domain/excursions/worst-hours.ts';
import type { Span } from '../../ports.ts';
import { EXCURSION_UNITS, excursionsOf } from '../readout/night/excursions.ts';
import { aTurn, type BatchContext, isoOf } from './context.ts';
import { rootingOf } from './rooting.ts';
import { exposuresOf, lifeOf, staysIn, thermalTimeOfBatch } from './sums.ts';
import { viewer } from './view.ts';

/** Most of each that one page lists. */
const MOST_HOURS = 12;
const MOST_ALARMS = 500;
const MOST_ENTRIES = 2_000;
/** So much of a record is looked through before everybody else has a turn, ms. */
const CHUNK_MS = 2 * 86_400_000;
/** Events of one place that are looked through at once. */
const EVENTS_A_CHUNK = 500;
const MS_PER_MINUTE = 60_000;

/** A stay of a batch at a place that is still there. */
type Stood = Span & { readonly place: Place };

/**
 * What happened to a batch: each part by the function that shows it elsewhere, over the places where it stood. Between
 * two days of its record everybody else has a turn.
 */
export async function reportOf(batch: KeptBatch, context: BatchContext): Promise<BatchReport> {
  const life = lifeOf(batch, context);
  const stood = staysIn(batch, life).flatMap(({ placeId, fromMs, toMs }): Stood[] => {
    const place = placeId === null ? undefined : context.world.places.get(placeId);
    return place ? [{ place, fromMs, toMs }] : [];
  });
  const worstHours = await worstOf(stood, context);
  const alarms = stood.flatMap((stay) => alarmsOf(stay, context));
  return {
    batch: viewer(context)(batch),
    from: isoOf(life.fromMs),
    to: isoOf(life.toMs),
    exposures: exposuresOf(batch, context),
    thermalTime: thermalTimeOfBatch(batch, {}, context),
    rooting: rootingOf(batch, context),
    worstHours,
    alarms: alarms.slice(-MOST_ALARMS),
    alarmsLeftOut: Math.max(0, alarms.length - MOST_ALARMS),
    diary: diaryOf(batch, context),
    losses: lossesOf(batch),
  };
}

/** The hours that did most harm, by the excursions of the night. */
async function worstOf(stood: readonly Stood[], context: BatchContext): Promise<WorstHour[]> {
  let worst: (HarmedHour & { readonly placeId: string })[] = [];
  for (const { place, fromMs, toMs } of stood)
    for (let startMs = fromMs; startMs < toMs; ) {
      // full hours stay whole
      const endMs = Math.min(Math.floor((startMs + CHUNK_MS) / 3_600_000) * 3_600_000, toMs);
      const { excursions, facts } = excursionsOf(place, { fromMs: startMs, toMs: endMs }, context);
      const found = harmedHours(excursions, facts).map((hour) => ({ ...hour, placeId: place.id }));
      worst = [...worst, ...found].sort((a, b) => b.harm - a.harm).slice(0, MOST_HOURS);
      startMs = endMs;
      await aTurn();
    }
  return worst.map(({ placeId, fromMs, toMs, harm, excursions }) => ({
    placeId,
    from: isoOf(fromMs),
    to: isoOf(toMs),
    harm,
    kinds: kindsOf(excursions),
  }));
}

/** The excursions of an hour by their kind, most harm first; each is given worst first. */
function kindsOf(excursions: HarmedHour['excursions']): WorstHour['kinds'] {
  const kinds = new Map<ExcursionKind, WorstHour['kinds'][number]>();
  const furthest = new Map<ExcursionKind, number>();
  for (const { kind, peak, furthest: far, fromMs, toMs, harm } of excursions) {
    const { unit } = EXCURSION_UNITS[kind];
    const before = kinds.get(kind) ?? { kind, peak, unit, minutes: 0, harm: 0 };
    const isFurther = (far ?? 0) > (furthest.get(kind) ?? 0);
    if (isFurther) furthest.set(kind, far ?? 0);
    kinds.set(kind, {
      ...before,
      peak: isFurther ? peak : before.peak,
      minutes: before.minutes + (toMs - fromMs) / MS_PER_MINUTE,
      harm: before.harm + (harm ?? 0),
    });
  }
  return [...kinds.values()].sort((a, b) => b.harm - a.harm);
}

/** Each raising of an alarm while the batch stood there, with who acknowledged it and when it was over. */
function alarmsOf({ place, fromMs, toMs }: Stood, context: BatchContext): ReportedAlarm[] {
  const { world } = context;
  const raisings: ReportedAlarm[] = [];
  const current = new Map<string, number>();
  for (const { alarmId, transition, atMs, note } of eventsOf(place, { fromMs, toMs }, context)) {
    const alarm = world.alarms.get(alarmId);
    if (!alarm) continue;
    const { rule, priority } = alarm;
    if (transition === 'raised') {
      current.set(alarmId, raisings.length);
      const [raised, name] = [isoOf(atMs), RULES[rule].name];
      const open = { acknowledged: null, acknowledgedBy: null, returned: null };
      raisings.push({ alarmId, placeId: place.id, rule, name, priority, raised, ...open });
      continue;
    }
    const at = current.get(alarmId) ?? -1;
    const raising = raisings[at];
    if (!raising) continue;
    if (transition === 'acknowledged')
      raisings[at] = { ...raising, acknowledged: isoOf(atMs), acknowledgedBy: note };
    if (transition === 'returned') raisings[at] = { ...raising, returned: isoOf(atMs) };
  }
  return raisings;
}

function* eventsOf({ id }: Place, span: Span, { store }: BatchContext): Generator<AlarmEvent> {
  for (let afterId = 0; ; ) {
    const events = store.alarms.eventsOfPlace({ placeId: id, ...span, afterId, limit: EVENTS_A_CHUNK });
    yield* events;
    const last = events.at(-1);
    if (!last || events.length < EVENTS_A_CHUNK) return;
    afterId = last.id;
  }
}

/** What was written down of it, and of where it stood while it stood there. */
function diaryOf(batch: KeptBatch, { store }: BatchContext): BatchReport['diary'] {
  const span = { fromMs: Number.MIN_SAFE_INTEGER, toMs: END_MS };
  const about = { placeId: null, batch: aboutBatch(batch), deleted: false, after: null };
  return store.diary
    .list({ ...about, ...span, limit: MOST_ENTRIES })
    .map(entryView)
    .toReversed();
}

/** What took cuttings, by the newest count that names anything. */
function lossesOf({ counts }: KeptBatch): BatchReport['losses'] {
  const lost = counts.findLast(({ count }) => (count.lost?.length ?? 0) > 0)?.count.lost ?? [];
  return lost.toSorted((a, b) => b.n - a.n);
}
