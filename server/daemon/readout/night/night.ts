import { Fault } from '../../../../shared/faults.ts';
import { byUrgency, WATCH_FROM } from '../../../../shared/harm/place-state.ts';
import { answeredOf } from '../../../../shared/model/alarms/answered.ts';
import type { Place } from '../../../../shared/model/place.ts';
import type { Night, NightRow } from '../../../../shared/wire/places/night.ts';
import { nightSentence } from '../../../../shared/words/night.ts';
import { localDays } from '../../../domain/calendar/days.ts';
import { nightSpan } from '../../../domain/calendar/night-span.ts';
import type { Parts, Span } from '../../../ports.ts';
import { exposuresOver } from '../../world/settled-exposures.ts';
import { bandSpansOf } from '../bands.ts';
import { nowOf, type QueryContext } from '../present.ts';
import { answersOf, excursionsOf } from './excursions.ts';

/** So many causes are looked for in one answer, and of one place: each takes some milliseconds. */
const MOST_CAUSES = 12;
const MOST_CAUSES_A_PLACE = 2;
const DAY_MS = 86_400_000;
/** A night as it was seen: without what the questions of a morning are answered from. */
type NightSeen = Omit<Night, 'places' | 'installation' | 'answers'> & {
  readonly places: readonly Omit<NightRow, 'facts'>[];
};
type SeenRow = NightSeen['places'][number];

/** The night of an installation without places. */
const USUAL = { dayStart: '06:00', nightStart: '20:00' } as const;

type NightFound = { readonly isToday: boolean; readonly night: NightSeen };

/**
 * What happened at every place from yesterday evening up to now, or in the night before a date's morning; in parts of
 * some milliseconds, as the thread that makes it takes readings too.
 * @param date YYYY-MM-DD of the morning; null: today's
 * @throws Fault `bad-request` for a date to come, or one that no calendar has
 */
export function* nightInParts(date: string | null, context: QueryContext): Parts<NightFound> {
  const nowMs = context.clock.nowMs();
  const today = dateOf(nowMs, context.timeZone);
  const morning = date ?? today;
  const places = [...context.world.places.values()];
  const targets = places.map(({ id }) => context.world.targets(id, nowMs));
  const clocks = targets.length > 0 ? targets : [USUAL];
  const nightTo = (ofMorning: string) => nightSpan({ date: ofMorning, clocks, zone: context.timeZone });
  const night = nightTo(morning);
  if (night === null || morning > today) {
    const message = `"date" must be the date of a morning up to today's, ${today}; it is ${JSON.stringify(morning)}.`;
    throw new Fault({ code: 'bad-request', message, details: { field: 'date' } });
  }
  const isToday = morning === today;
  // a night that begins after midnight, and has not begun: the one before it
  const begun = isToday && night.fromMs >= nowMs ? nightTo(dayBefore(morning)) : night;
  const fromMs = begun?.fromMs ?? night.fromMs;
  const span = { fromMs, toMs: isToday ? nowMs : night.toMs };
  const rows: SeenRow[] = [];
  let causesLeft = MOST_CAUSES;
  for (const { id } of places) {
    yield;
    // it may be gone by now, or be called otherwise
    const place = context.world.places.get(id);
    if (!place) continue;
    const mostCauses = Math.min(MOST_CAUSES_A_PLACE, causesLeft);
    const row = yield* rowOf(place, { span, isToday, nowMs, mostCauses }, context);
    causesLeft -= Math.min(mostCauses, row.excursions.length);
    rows.push(row);
  }
  const seen = {
    date: morning,
    from: new Date(span.fromMs).toISOString(),
    to: new Date(span.toMs).toISOString(),
    madeAt: new Date(nowMs).toISOString(),
    places: rows.sort(byRow),
  };
  return { isToday, night: seen };
}

/** Worst first; places that do equally well by their names. */
function byRow(a: SeenRow, b: SeenRow): number {
  const urgency = (row: SeenRow) => ({ ...row, unanswered: row.answered === 'unacknowledged' });
  return byUrgency(urgency(a), urgency(b)) || a.name.localeCompare(b.name, 'en', { numeric: true });
}

type NightSpan = {
  readonly span: Span;
  readonly isToday: boolean;
  readonly nowMs: number;
  readonly mostCauses: number;
};

function* rowOf(
  place: Place,
  { span, isToday, nowMs, mostCauses }: NightSpan,
  context: QueryContext,
): Parts<SeenRow> {
  const seen = excursionsOf(place, span, context);
  yield;
  const exposures = exposuresOver(place, span, { ...context, nowMs });
  yield;
  const harm = seen.excursions.reduce((sum, one) => sum + (one.harm ?? 0), 0);
  const wasUnseen = seen.coverage === 0 || seen.excursions.some(({ kind }) => kind === 'no-data');
  const isRemembered = wasUnseen || harm >= WATCH_FROM;
  const then = { state: isRemembered ? 'watch' : 'ok', minutesLeft: null } as const;
  const { state, minutesLeft } = isToday ? nowOf(place, context) : then;
  const reader = { unit: 'C', timeZone: context.timeZone, nowMs: span.toMs } as const;
  const said = {
    excursions: answersOf(place, { excursions: seen.excursions, span, mostCauses }, context),
    coverage: seen.coverage,
    maxGapMs: place.settings.maxGapMs,
  };
  return {
    placeId: place.id,
    name: place.name,
    zone: place.settings.zone,
    state,
    harm,
    minutesLeft,
    answered: isToday ? answeredAt(place, context) : 'no-alarm',
    sentence: nightSentence(said, span, reader),
    bands: bandSpansOf(place, span, context),
    exposures,
    ...said,
  };
}

function answeredAt({ id }: Place, { world }: QueryContext): NightRow['answered'] {
  return answeredOf([...world.alarms.values()].filter(({ placeId }) => placeId === id));
}

/** The calendar date before another, both YYYY-MM-DD. */
function dayBefore(date: string): string {
  return new Date(Date.parse(`${date}T00:00:00Z`) - DAY_MS).toISOString().slice(0, 10);
}

function dateOf(atMs: number, zone: string): string {
  return localDays({ fromMs: atMs, toMs: atMs + 1, zone })[0]?.date ?? '';
}
