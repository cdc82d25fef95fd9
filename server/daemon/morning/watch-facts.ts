import type { AlarmEvent } from '../../../shared/model/alarms/alarm.ts';
import type { Place } from '../../../shared/model/place.ts';
import type { Probe } from '../../../shared/model/probes/probe.ts';
import type {
  ChangeFacts,
  InstallationFacts,
  PlaceFacts,
  RaisedFacts,
} from '../../../shared/wire/places/morning.ts';
import { findingWords } from '../../../shared/words/finding.ts';
import { holding } from '../../domain/batches/batch.ts';
import type { Span } from '../../ports.ts';
import type { FindingsService } from '../readout/findings.ts';
import { newestOf, type QueryContext } from '../readout/present.ts';
import { baseQuantity } from '../world/records.ts';

export type WatchContext = QueryContext & {
  readonly findings: Pick<FindingsService, 'held' | 'suspectFacts'>;
};

/** A night, and whether it is the one just gone. */
export type NightQuery = { readonly span: Span; readonly isToday: boolean };

const DAY_MS = 86_400_000;
/** Most of each that are looked through, or named. */
const MOST_EVENTS = 2_000;
const MOST_RAISED = 12;
const MOST_CHANGES = 12;
const MOST_FAULTS = 8;
const MOST_MESSAGES = 40;

const iso = (atMs: number) => new Date(atMs).toISOString();

/** Whether the probes of a place reported, and what is known against them. */
export function probeFacts(place: Place, asked: NightQuery, context: WatchContext): PlaceFacts['probes'] {
  const { world, store, findings, timeZone } = context;
  const { span, isToday } = asked;
  const probes = world.probesOf(place.id);
  const reader = { unit: 'C', timeZone, nowMs: span.toMs } as const;
  const known = findings
    .held(place.id)
    .filter(({ sinceMs, untilMs }) => sinceMs < span.toMs && (untilMs ?? span.toMs) > span.fromMs);
  const due = new Map(store.checks.due().map(({ probeId, dueMs }) => [probeId, dueMs]));
  const isDue = ({ id }: Probe) => (due.get(id) ?? Number.POSITIVE_INFINITY) <= span.toMs;
  return {
    assigned: probes.length,
    reporting: isToday
      ? newestOf(place, context).filter(({ reporting }) => reporting).length
      : probes.filter(({ id }) => reportedIn(id, { span, place }, context)).length,
    faults: known.slice(0, MOST_FAULTS).map((finding) => ({
      headline: findingWords(finding, reader).headline,
      isActive: finding.untilMs === null,
    })),
    lookedAt: isToday && findings.suspectFacts(place.id) !== undefined,
    checksDue: probes.filter(isDue).map(({ device, name }) => `${device}/${name}`),
    lowestBatteryPct: lowestBattery(probes, span, context),
  };
}

type Within = { readonly span: Span; readonly place: Place };

/** Whether a probe reported up to the end of a night long past. */
function reportedIn(probeId: number, { span, place }: Within, { store }: QueryContext): boolean {
  const last = store.journal.latest(probeId, span.toMs);
  return last !== null && last.tMs >= span.toMs - place.settings.maxGapMs;
}

function lowestBattery(probes: readonly Probe[], span: Span, { store }: QueryContext): number | null {
  const levels = probes
    .filter((probe) => baseQuantity(probe) === 'battery/level')
    .flatMap(({ id }) => store.journal.latest(id, span.toMs) ?? [])
    .filter(({ tMs }) => tMs >= span.toMs - DAY_MS)
    .map(({ value }) => value);
  return levels.length === 0 ? null : Math.min(...levels);
}

/** Alarms raised about a place in a night, who was notified of each, and who acknowledged it. */
export function raisedFacts(
  place: Place,
  { span }: NightQuery,
  { store, world }: QueryContext,
): RaisedFacts[] {
  const events = store.alarms.eventsOfPlace({ placeId: place.id, ...span, afterId: 0, limit: MOST_EVENTS });
  return events
    .filter(({ transition }) => transition === 'raised')
    .slice(-MOST_RAISED)
    .flatMap((raised): RaisedFacts[] => {
      const record = world.alarms.get(raised.alarmId);
      if (!record) return [];
      const next = events.find((one) => isNextRaising(one, raised))?.atMs ?? Number.POSITIVE_INFINITY;
      const answer = events.find((one) => isAnswerTo(one, raised) && one.atMs <= next);
      const notified = store.outbox
        .ofAlarm(raised.alarmId, MOST_MESSAGES)
        .filter((one) => one.state === 'sent' && one.createdMs >= raised.atMs && one.createdMs < next)
        .map(({ recipient }) => recipient);
      return [
        {
          rule: record.rule,
          at: iso(raised.atMs),
          notified: [...new Set(notified)],
          acknowledgedBy: answer?.note ?? null,
          acknowledgedAt: answer ? iso(answer.atMs) : null,
        },
      ];
    });
}

const isNextRaising = ({ id, alarmId, transition }: AlarmEvent, raised: AlarmEvent): boolean =>
  id > raised.id && alarmId === raised.alarmId && transition === 'raised';
const isAnswerTo = ({ id, alarmId, transition }: AlarmEvent, raised: AlarmEvent): boolean =>
  id > raised.id && alarmId === raised.alarmId && transition === 'acknowledged';

/** What people entered about a place from a day before the end of a night on, in the order of time. */
export function changeFacts(
  place: Place,
  { span }: NightQuery,
  { store, world }: QueryContext,
): ChangeFacts[] {
  const isRecent = (atMs: number) => atMs >= span.toMs - DAY_MS && atMs <= span.toMs;
  const change = (atMs: number, kind: ChangeFacts['kind'], what: string | null = null) =>
    isRecent(atMs) ? [{ atMs, kind, what }] : [];
  const all = [
    // the first targets of a place came with it
    ...store.places
      .handTargets(place.id)
      .slice(1)
      .flatMap(({ fromMs }) => change(fromMs, 'targets')),
    ...store.diary.vents(place.id).flatMap(({ fromMs, note }) => change(fromMs, 'vent', note)),
    ...world
      .probesOf(place.id)
      .flatMap(({ id, device, name }) =>
        store.corrections
          .of(id)
          .flatMap(({ enteredMs, reason }) =>
            change(enteredMs, 'correction', `${device}/${name}: ${reason}`),
          ),
      ),
    ...store.batches.atPlace(place.id).flatMap((batch) => {
      if (batch.deletedMs !== null) return [];
      const stays = holding(batch.stays).filter(({ placeId }) => placeId === place.id);
      const isHere = (atMs: number) => stays.some(({ fromMs, toMs }) => atMs >= fromMs && atMs < toMs);
      const { crop } = batch.body;
      return [
        ...batch.stages
          .filter(({ fromMs }) => isHere(fromMs))
          .flatMap(({ fromMs, stage }) => change(fromMs, 'stage', `${crop}: ${stage}`)),
        ...stays.filter(({ n }) => n > 0).flatMap(({ fromMs }) => change(fromMs, 'move', crop)),
        ...batch.counts
          .filter(({ atMs }) => isHere(atMs))
          .flatMap(({ atMs, count }) =>
            change(atMs, 'count', `${crop}: ${count.rooted} of ${count.looked} rooted`),
          ),
      ];
    }),
  ];
  return all
    .toSorted((a, b) => a.atMs - b.atMs)
    .slice(-MOST_CHANGES)
    .map(({ atMs, kind, what }) => ({ at: iso(atMs), kind, what }));
}

/** When this program did not run during a night. */
export function unwatchedSpans(
  { span }: NightQuery,
  { store, world }: QueryContext,
): InstallationFacts['unwatched'] {
  const { id } = world.alarm({ placeId: null, rule: 'watch-was-down' });
  const events = store.alarms
    .eventsIn({ fromMs: span.fromMs - DAY_MS, toMs: span.toMs + DAY_MS, limit: MOST_EVENTS })
    .filter(({ alarmId }) => alarmId === id);
  return events
    .filter(({ transition }) => transition === 'raised')
    .map((raised) => {
      const end = events.find((one) => one.id > raised.id && one.transition === 'returned');
      return { fromMs: raised.atMs, toMs: end?.atMs ?? null };
    })
    .filter(({ fromMs, toMs }) => fromMs < span.toMs && (toMs ?? span.toMs) > span.fromMs)
    .map(({ fromMs, toMs }) => ({ from: iso(fromMs), to: toMs === null ? null : iso(toMs) }));
}
