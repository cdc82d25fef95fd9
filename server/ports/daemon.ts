import type { Alarm, AlarmEvent } from '../../shared/model/alarms/alarm.ts';
import type { PlacePatch } from '../../shared/model/place.ts';
import type { Probe, Reading } from '../../shared/model/probes/probe.ts';
import type { SetUp } from '../../shared/model/set-up.ts';
import type { Targets } from '../../shared/model/targets.ts';
import type { AlarmQualityAnswer } from '../../shared/wire/alarms/alarm-quality.ts';
import type { PastAnswer, TriableRule } from '../../shared/wire/alarms/past.ts';
import type { Trial } from '../../shared/wire/alarms/trial.ts';
import type {
  BandSpan,
  ExcursionAnswer,
  Explanation,
  Exposures,
  HouseFacts,
  MistAnswer,
  Night,
  PlaceNow,
  PlaceSummary,
  RefusedPack,
  Series,
  SeriesName,
  ThermalTime,
  TracesAnswer,
  VentsAnswer,
} from '../../shared/wire/http.ts';
import type { HeatPaid, MistAdvice, WouldHaveHelped } from '../../shared/wire/places/advice.ts';
import type { PlaceChange, PlacesChanged } from '../../shared/wire/places/changes.ts';
import type { EarlyNotices, ForecastAnswer, ForecastQuantity } from '../../shared/wire/places/forecast.ts';
import type { PlaceLight } from '../../shared/wire/places/light.ts';
import type { FindingsAnswer } from '../../shared/wire/probes/finding.ts';
import type { VentEntry } from './record/diary.ts';

/** What pages are sent; the feed numbers and delivers. */
export type LiveFeed = {
  now(now: PlaceNow): void;
  place(place: PlaceSummary): void;
  placeGone(placeId: string): void;
  alarm(alarm: Alarm): void;
  house(house: HouseFacts): void;
  /** numbers of the newest messages that were received while somebody watched, and listened, and on topics nobody reads */
  foreignCounts(newest: { watched: number; captured: number; unread: number }): void;
};

/** An answer that takes long: between two parts everyone else has a turn. */
export type Parts<T> = Generator<void, T, void>;

export type Span = { readonly fromMs: number; readonly toMs: number };
/**
 * Between which temperatures of the root zone thermal time counts: full from the upper limit on, or falling from the
 * optimum to nothing at the stop.
 */
export type ThermalLimits =
  | { readonly baseC: number; readonly upperC: number }
  | { readonly baseC: number; readonly optimumC: number; readonly stopC: number };

/** Questions the edges may ask. Each throws Fault `not-found` for an unknown id. */
export type Queries = {
  places(): PlaceSummary[];
  place(placeId: string): PlaceSummary;
  /** The state of all places and alarms, a part at a time, what is active first. */
  inParts(): Iterator<
    { readonly places: readonly PlaceSummary[]; readonly alarms: readonly Alarm[]; readonly more: boolean },
    void
  >;
  now(placeId: string): PlaceNow;
  targets(placeId: string): Targets;
  exposures(placeId: string, span: Span): Exposures;
  /** light day by day */
  light(placeId: string, span: Span): PlaceLight;
  /** What was beyond its limit over a span, or missing. */
  excursions(placeId: string, span: Span): ExcursionAnswer[];
  /** What happened at every place in the night before a morning, YYYY-MM-DD; null: since yesterday evening. */
  night(date: string | null): Night;
  /** The same, in parts. */
  nightInParts(date: string | null): Parts<Night>;
  /** The last day of some places as their cards draw it, in parts; places that are not there are left out. */
  traces(placeIds: readonly string[]): Parts<TracesAnswer>;
  series(placeId: string, query: Span & { quantity: SeriesName; points: number | null }): Series;
  bands(placeId: string, span: Span): BandSpan[];
  /** The next two hours from a time on, by what was read up to it, in parts; null: from now. */
  forecast(
    placeId: string,
    query: { quantity: ForecastQuantity; atMs: number | null },
  ): Parts<ForecastAnswer>;
  /** Where a number comes from: `now.<quantity>`, or what is counted over a span; thermal time has its limits. */
  explain(
    placeId: string,
    query: { of: string; span: Span | null; limits?: ThermalLimits | null },
  ): Explanation;
  /** How the early notices of the last weeks did, of places that had any. */
  earlyNotices(): EarlyNotices[];
  mist(placeId: string, span: Span): MistAnswer;
  vents(placeId: string, span: Span): VentsAnswer;
  /** @throws Fault `bad-request` unless each limit lies above the one before */
  thermalTime(placeId: string, query: Span & ThermalLimits): ThermalTime;
  /** Time of the first reading of the place, or null. */
  recordStartMs(placeId: string): number | null;
  alarms(): Alarm[];
  /** How good the alarms of a span were. */
  alarmQuality(span: Span): AlarmQualityAnswer;
  /** The alarms a rule would have raised over a span, with what is tried instead of the place's own. */
  tryOnPast(placeId: string, query: { rule: TriableRule; span: Span; trial: Trial }): PastAnswer;
  alarmsIn(span: Span): Alarm[];
  alarmEvents(alarmId: string): AlarmEvent[];
  /** The newest, or so many of those before one. */
  refused(part?: { readonly limit: number; readonly beforeId: number | null } | null): {
    refused: RefusedPack[];
    total: number;
    byCode: Record<string, number>;
  };
  /** What is found wrong with probes: at present, or over a span of at most 8 days; of one place or all. */
  findings(query: { placeId: string | null; span: Span | null }): FindingsAnswer;
  /** How often to mist, and what three timers would have done on the last days; in parts. */
  mistAdvice(placeId: string, query: { readonly days: number }): Parts<MistAdvice>;
  /** What a shade or a vent would have done to the day before; in parts. */
  wouldHaveHelped(
    placeId: string,
    query: { readonly what: 'shade' | 'vent'; readonly transmission: number },
  ): Parts<WouldHaveHelped>;
  /** What bottom heat cost and held; `ratedW` of the mat where its power is not measured; in parts. */
  heatPaid(placeId: string, query: Span & { readonly ratedW: number | null }): Parts<HeatPaid>;
  probes(): (Probe & { readonly latest: Reading | null })[];
  house(): HouseFacts;
};

/** Who gave an order, when it is known. */
export type By = { readonly by?: string | null };

/** Orders the edges may give. */
export type Orders = {
  setTargets(placeId: string, order: { targets: Targets; fromMs: number | null }): void;
  /** Answers the questions about a new place; bands that fit hold from now. */
  setUp(placeId: string, answers: SetUp): void;
  patchPlace(placeId: string, patch: PlacePatch): void;
  /** Several places in one commit; those that are not there are named. */
  changePlaces(changes: readonly PlaceChange[]): PlacesChanged;
  logVent(placeId: string, vent: { fromMs: number; toMs: number | null; note: string | null }): VentEntry;
  removeVent(placeId: string, ventId: number): void;
  acknowledge(alarmId: string, person?: By): Alarm;
  shelve(alarmId: string, order: { minutes: number; reason: string } & By): Alarm;
  unshelve(alarmId: string): Alarm;
  /** Lets go a latched alarm that was seen and is over. */
  reset(alarmId: string): Alarm;
  /** For maintenance: tracked underneath, announced to nobody, until it is put back. */
  takeOutOfService(alarmId: string, order: { reason: string } & By): Alarm;
  putInService(alarmId: string): Alarm;
  startDemo(): void;
  removeDemo(): Promise<void>;
};
