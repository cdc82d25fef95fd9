import { medianOf } from '../../../../shared/exposure/sample.ts';
import type { Place } from '../../../../shared/model/place.ts';
import type { FilmExpectedFacts } from '../../../../shared/rules/facts.ts';
import { type AlarmRecord, isActive } from '../../../domain/alarms/record.ts';
import { curveOf } from '../../../domain/exposures/curves.ts';
import { PHOTOPERIOD_PPFD } from '../../../domain/exposures/details.ts';
import { valueIn } from '../../../domain/exposures/value-in.ts';
import { driedBetween, driesAt, type FilmMinutes } from '../../../domain/forecast/film.ts';
import { filmMinutes } from '../../../domain/mist/film-minutes.ts';
import type { Span } from '../../../ports.ts';
import { mistSeen } from '../../readout/details.ts';
import { type RecordContext, recordsOf } from '../../world/records.ts';

const READ = [
  'mist/valve',
  'air/temperature',
  'air/humidity',
  'leaf/wetness',
  'light/ppfd',
  'light/illuminance',
] as const;
/** The interval is that of the last pulses in so long, ms, where nobody stated it. */
const READ_BEFORE_MS = 3 * 3_600_000;
const LEAST_INTERVALS = 3;
/** A pulse that comes later than this share of the interval was not the next one: mist was off. */
const MOST_INTERVALS = 1.5;
/** A notice goes on for so long after it was expected last, ms. */
const GOES_ON_MS = 30 * 60_000;
/** A film that is to dry less than this before the next pulse is as good as wet, ms. */
const LEAST_DRY_MS = 60_000;

/** What an early notice says about the film on the leaves; null where none is due, undefined where nothing is known. */
export function filmExpected(
  place: Place,
  record: AlarmRecord,
  nowMs: number,
  context: RecordContext,
): FilmExpectedFacts | null | undefined {
  const facts = factsNow(place, nowMs, context);
  if (!isActive(record) || facts !== null) return facts;
  // the sun that goes and comes again is no news each time
  const sinceMs = record.facts?.kind === 'film-expected' ? record.facts.atMs : 0;
  return Math.abs(nowMs - sinceMs) > GOES_ON_MS ? null : undefined;
}

function factsNow(place: Place, nowMs: number, context: RecordContext): FilmExpectedFacts | null | undefined {
  // most of a day it is dark, and nothing need be read
  if (isDark(place, context)) return null;
  const statedMs = (place.settings.mistEveryMin ?? 0) * 60_000;
  const fromMs = nowMs - (statedMs > 0 ? Math.min(READ_BEFORE_MS, 2 * statedMs) : READ_BEFORE_MS);
  const seen = seenIn(place, { fromMs, toMs: nowMs }, context);
  const last = seen?.pulses.at(-1);
  if (!seen || !last || seen.intervalMs === null) return undefined;
  if (!seen.isLit(nowMs)) return null;
  const wetMs = last.toMs ?? last.fromMs;
  const nextMs = last.fromMs + seen.intervalMs;
  // overdue: another alarm is about that
  if (nextMs <= nowMs) return undefined;
  const dryMs = driesAt({ wetMs, nextMs }, seen.minutesAt, nowMs);
  if (dryMs === null || nextMs - dryMs < LEAST_DRY_MS) return null;
  const minutes = seen.minutesAt(nowMs);
  if (minutes === undefined || minutes === null) return undefined;
  return {
    kind: 'film-expected',
    dryMs: rounded(dryMs),
    nextMs: rounded(nextMs),
    filmMin: Math.max(1, Math.round(minutes)),
    everyMin: Math.round(seen.intervalMs / 60_000),
    atMs: nowMs,
  };
}

/** Whether each light probe read dark last, or there is none. */
function isDark(place: Place, { world }: RecordContext): boolean {
  return world.probesOf(place.id).every(({ id, quantity }) => {
    const latest = world.latest.get(id);
    if (quantity !== 'light/ppfd' && quantity !== 'light/illuminance') return true;
    // lux are many more than µmol m⁻² s⁻¹: so little is dark in either
    return latest === undefined || latest.value < PHOTOPERIOD_PPFD;
  });
}

/** When the film dried out before the next pulse within a span, by the same estimate on what was read, ms since epoch. */
export function filmsDried(place: Place, span: Span, context: RecordContext): number[] {
  const seen = seenIn(place, span, context);
  if (!seen || seen.intervalMs === null) return [];
  return driedBetween(seen.pulses, {
    minutesAt: seen.minutesAt,
    lit: seen.isLit,
    longestMs: seen.intervalMs * MOST_INTERVALS,
    leastDryMs: LEAST_DRY_MS,
  });
}

function seenIn(place: Place, span: Span, context: RecordContext) {
  const measured = context.world.probesOf(place.id).map(({ quantity }) => quantity);
  const isMisted = place.settings.mistEveryMin !== null || measured.includes('mist/valve');
  if (!isMisted || !measured.includes('air/temperature') || !measured.includes('air/humidity')) return null;
  const records = recordsOf(place, span, READ, context, { notAfterMs: span.toMs });
  const { mist, intervalMs, wantedMs } = mistSeen({ place, records, window: span }, context);
  const { pulses } = mist;
  const between = pulses.slice(1).map(({ fromMs }, n) => fromMs - (pulses[n]?.fromMs ?? fromMs));
  const usualMs = between.length < LEAST_INTERVALS ? null : medianOf(between);
  const curve = (name: 'airTemperatureC' | 'relativeHumidityPct' | 'ppfdUmolM2S') =>
    valueIn(curveOf(name, { records, settings: place.settings }).segments);
  const [airC, humidityPct, ppfd] = [
    curve('airTemperatureC'),
    curve('relativeHumidityPct'),
    curve('ppfdUmolM2S'),
  ];
  const minutesAt: FilmMinutes = (tMs) => {
    const [airTemperatureC, relativeHumidityPct] = [airC(tMs), humidityPct(tMs)];
    if (airTemperatureC === null || relativeHumidityPct === null) return undefined;
    return filmMinutes({ airTemperatureC, relativeHumidityPct, ppfdUmolM2S: ppfd(tMs) }, place.settings);
  };
  return {
    pulses: mist.reliable ? pulses : [],
    intervalMs: intervalMs ?? wantedMs(span.toMs) ?? usualMs,
    minutesAt,
    isLit: (tMs: number) => (ppfd(tMs) ?? 0) >= PHOTOPERIOD_PPFD,
  };
}

/** An estimate is said to the minute. */
function rounded(tMs: number): number {
  return Math.round(tMs / 60_000) * 60_000;
}
