import { WIDE_OPEN } from '../../../../shared/exposure/bands.ts';
import type { Window } from '../../../../shared/exposure/series.ts';
import { sumOver } from '../../../../shared/exposure/sums.ts';
import type { AlarmEvent } from '../../../../shared/model/alarms/alarm.ts';
import type { Place } from '../../../../shared/model/place.ts';
import type { ProbeQuantityName } from '../../../../shared/quantities.ts';
import { rulesAbout } from '../../../../shared/rules/excursion-rules.ts';
import type { ExcursionAnswer, ExcursionKind } from '../../../../shared/wire/places/night.ts';
import {
  type ExcursionFacts,
  type PlaceExcursion,
  placeExcursions,
} from '../../../domain/excursions/excursions.ts';
import { COURSE_KINDS, COURSES } from '../../../domain/excursions/kinds.ts';
import { curveOf, type RecordsByQuantity } from '../../../domain/exposures/curves.ts';
import { fetchMarginMs } from '../../../domain/exposures/exposures.ts';
import { recordsWithin } from '../../../domain/exposures/records-within.ts';
import { DEFAULT_LOOKBACK_MS } from '../../../domain/mist/pattern.ts';
import { dryGapsOf } from '../../../domain/mist/summary.ts';
import type { Span } from '../../../ports.ts';
import { type RecordContext, recordsOf, spansOf } from '../../world/records.ts';
import { unmistedAt } from '../alarms/unmisted.ts';
import { mistSeen } from '../details.ts';
import { causeAt } from './cause.ts';

const READ: readonly ProbeQuantityName[] = [
  'air/temperature',
  'air/humidity',
  'root/temperature',
  'mist/valve',
  'leaf/wetness',
  'leaf/temperature',
  'light/ppfd',
  'light/illuminance',
];

/** What was beyond its limit at a place, and what share of the span was seen. */
type SeenExcursions = {
  readonly excursions: readonly PlaceExcursion[];
  readonly coverage: number;
  /** what they were read from */
  readonly facts: ExcursionFacts;
};

/** What was beyond its limit at a place over a span, or missing, by the readings and the targets that held. */
export function excursionsOf(place: Place, window: Span, context: RecordContext): SeenExcursions {
  const { settings } = place;
  // the pattern of the mist is learnt from the day before too
  const wide = { fromMs: window.fromMs - DEFAULT_LOOKBACK_MS, toMs: window.toMs };
  const records = recordsOf(place, wide, READ, context);
  // what is computed from several probes costs most, and is needed in the window alone
  const near = recordsWithin(records, window, fetchMarginMs(settings));
  const curve = (name: Parameters<typeof curveOf>[0], of: RecordsByQuantity = records) =>
    curveOf(name, { records: of, settings }).segments;
  const air = curve('airTemperatureC');
  const rootZone = curve('rootZoneTemperatureC');
  const { mist, light, intervalMs, wantedMs } = mistSeen({ place, records, window: wide }, context);
  const facts: ExcursionFacts = {
    curves: { air, rootZone, vpd: curve('airVpdKpa', near), humidity: curve('relativeHumidityPct', near) },
    spans: spansOf(place, window, context),
    dryGaps: mist.reliable ? dryGapsOf(mist, { light, intervalMs, wantedMs }) : [],
    unmisted: unmistedAt({ place, records }, context),
    window,
    maxGapMs: settings.maxGapMs,
  };
  const seen = air.count > 0 ? air : rootZone;
  const { coveredMs } = sumOver(seen, WIDE_OPEN, window);
  return {
    excursions: placeExcursions(facts),
    facts,
    coverage: Math.min(1, coveredMs / (window.toMs - window.fromMs)),
  };
}

/** In what a kind of excursion is measured. */
export const EXCURSION_UNITS: Readonly<Record<ExcursionKind, Pick<ExcursionAnswer, 'unit' | 'doseUnit'>>> = {
  'air-over-ceiling': { unit: '°C', doseUnit: 'K·h' },
  'air-above-band': { unit: '°C', doseUnit: 'K·h' },
  'air-below-band': { unit: '°C', doseUnit: 'K·h' },
  'air-far-too-cold': { unit: '°C', doseUnit: 'K·h' },
  'root-zone-over-ceiling': { unit: '°C', doseUnit: 'K·h' },
  'root-zone-above-band': { unit: '°C', doseUnit: 'K·h' },
  'root-zone-below-band': { unit: '°C', doseUnit: 'K·h' },
  'vpd-above-band': { unit: 'kPa', doseUnit: 'kPa·h' },
  saturated: { unit: '%RH', doseUnit: null },
  'no-mist': { unit: 'min', doseUnit: null },
  'no-data': { unit: null, doseUnit: null },
};

type Question = {
  readonly excursions: readonly PlaceExcursion[];
  readonly span: Span;
  /** of so many, the longest, a cause is looked for: each takes some milliseconds */
  readonly mostCauses?: number;
};

/** Excursions as they are answered, each with the first alarm that was raised about it and who acknowledged that. */
export function answersOf(
  place: Place,
  { excursions, span, mostCauses = 0 }: Question,
  context: RecordContext,
): ExcursionAnswer[] {
  const events = eventsOf(place, span, context);
  const rulesOf = new Map([...context.world.alarms.values()].map(({ id, rule }) => [id, rule]));
  const about = (kind: ExcursionKind) => (alarmId: string) => {
    const rule = rulesOf.get(alarmId);
    return rule !== undefined && rulesAbout(kind).includes(rule);
  };
  const length = (one: PlaceExcursion) => one.toMs - one.fromMs;
  const longest = excursions.toSorted((a, b) => length(b) - length(a));
  const judged = new Set(longest.slice(0, mostCauses));
  return excursions.map((one) => {
    const { kind, fromMs, toMs, goesOn, peak, dose, harm } = one;
    return {
      kind,
      from: new Date(fromMs).toISOString(),
      to: goesOn ? null : new Date(toMs).toISOString(),
      peak,
      limit: limitOf(one),
      overLimitHours: (toMs - fromMs) / 3_600_000,
      dose,
      harm,
      cause: judged.has(one) ? causeAt(place, one, context) : null,
      ...EXCURSION_UNITS[kind],
      ...answered(events, { span: one, isAbout: about(kind) }),
    };
  });
}

/** The limit where the value was furthest beyond it, in the unit of the peak. */
function limitOf({ kind, peak, furthest }: PlaceExcursion): number | null {
  const course = COURSE_KINDS.find((known) => known === kind);
  if (course === undefined || peak === null || furthest === null) return null;
  return peak - COURSES[course].side * furthest;
}

/** Most events of one place in a span that are looked through. */
const MOST_EVENTS = 5_000;
/** An alarm may be raised so long after what it is about began, and was over, ms. */
const LATE_MS = 15 * 60_000;

function eventsOf({ id }: Place, { fromMs, toMs }: Span, { store }: RecordContext): AlarmEvent[] {
  const span = { fromMs, toMs: toMs + LATE_MS };
  return store.alarms.eventsOfPlace({ placeId: id, ...span, afterId: 0, limit: MOST_EVENTS });
}

type Occasion = { readonly span: Window; readonly isAbout: (alarmId: string) => boolean };

function answered(events: readonly AlarmEvent[], { span, isAbout }: Occasion) {
  const raised = events.find(
    ({ transition, atMs, alarmId }) =>
      transition === 'raised' && atMs >= span.fromMs && atMs <= span.toMs + LATE_MS && isAbout(alarmId),
  );
  const acknowledged =
    raised &&
    events.find(
      ({ id, alarmId, transition }) =>
        id > raised.id && alarmId === raised.alarmId && transition === 'acknowledged',
    );
  return { alarmId: raised?.alarmId ?? null, acknowledgedBy: acknowledged?.note ?? null };
}
