import { type Blind, placeState } from '../../../shared/harm/place-state.ts';
import { rateAt } from '../../../shared/harm/rate.ts';
import { HARM_KINDS, type Harm, type HarmKind, totalHarm } from '../../../shared/harm/scale.ts';
import type { ProbeQuantityName } from '../../../shared/quantities.ts';
import { harmLimitAt, RESPOND_WITHIN_MIN } from '../../../shared/rules/harm.ts';
import { asksOfSaturation } from '../../../shared/rules/leaves/saturated-too-long.ts';
import { type Moment, RULES } from '../../../shared/rules/rules.ts';
import type { BandState, NowValue, PlaceCondition, SeriesName } from '../../../shared/wire/http.ts';
import { type AlarmRecord, isActive } from '../alarms/record.ts';
import { dryingNow, type StandingBatch } from './drying.ts';
import type { Excursion } from './excursions.ts';
import { READ_FROM } from './harm-in.ts';
import { isWorthWatching, type Seen } from './remembered.ts';

/** What the last 24 h did to a place, and what is remembered of that and of before. */
export type LastDay = Seen & {
  /** how much of it is on record, ms */
  readonly coveredMs: number;
  readonly remembered: Seen;
};

/** What the condition of a place follows from. */
type ConditionFacts = {
  readonly lastDay: LastDay;
  readonly quantities: Readonly<Partial<Record<SeriesName, NowValue>>>;
  readonly moment: Omit<Moment, 'light'>;
  /** what its probes measure, whether they report or not */
  readonly measured: ReadonlySet<ProbeQuantityName>;
  readonly alarms: readonly AlarmRecord[];
  /** batches that stand there */
  readonly standing: () => readonly StandingBatch[];
  readonly nowMs: number;
};

/** A quantity that can be read of the present, by what harm is read from. */
const SERIES_OF = {
  air: 'airTemperatureC',
  rootZone: 'rootZoneTemperatureC',
  vpd: 'airVpdKpa',
} as const satisfies Record<(typeof READ_FROM)[HarmKind], SeriesName>;

/** With less on record nothing is known of the last 24 h, ms. Proposal. */
const KNOWN_FROM_MS = 10 * 60_000;
/** Less harm in one excursion is not worth naming. Proposal. */
const WORTH_NAMING = 0.02;
const MOST_NAMED = 4;

/** How a place does: from what is measured now, and from what the last 24 h did to it. */
export function conditionOf(facts: ConditionFacts): PlaceCondition {
  const { lastDay, alarms } = facts;
  const active = alarms.filter(isActive);
  const blind = blindTo(facts);
  const { remembered } = lastDay;
  const state = placeState({
    harm: lastDay.coveredMs < KNOWN_FROM_MS ? null : harmOf(lastDay.excursions),
    ratePerHour: ratesNow(facts),
    respondWithinMin: RESPOND_WITHIN_MIN,
    drying: dryingNow(facts),
    active: active.map(({ rule, facts: about }) => ({
      asksAtOnce:
        RULES[rule].asksAtOnce === true ||
        (about?.kind === 'no-data' && (about.wholePlace || about.matters != null)),
    })),
    blindTo: blind,
    remembered: totalHarm(harmOf(remembered.excursions)),
    wasBlind: remembered.gaps.length > 0,
    outOfBand: isOutOfBand(facts),
  });
  return { ...state, blindTo: blind, lately: latelyOf(remembered).slice(0, MOST_NAMED) };
}

/** Harm by kind, summed over excursions. */
export function harmOf(excursions: readonly Excursion[]): Harm {
  const of = (kind: HarmKind) =>
    excursions.reduce((sum, one) => (one.kind === kind ? sum + one.harm : sum), 0);
  return Object.fromEntries(HARM_KINDS.map((kind) => [kind, of(kind)])) as Record<HarmKind, number>;
}

/** What each kind of harm adds an hour at the newest values. */
export function ratesNow({
  quantities,
  moment,
}: Pick<ConditionFacts, 'quantities' | 'moment'>): Readonly<Record<HarmKind, number>> {
  const of = (kind: HarmKind): number => {
    const now = quantities[SERIES_OF[READ_FROM[kind]]];
    const limit = harmLimitAt(kind, moment);
    if (!now || now.state === 'stale' || limit === null) return 0;
    const isColder = limit.farTooColdC !== undefined && now.value < limit.farTooColdC;
    return isColder ? 0 : rateAt(limit, now.value);
  };
  return Object.fromEntries(HARM_KINDS.map((kind) => [kind, of(kind)])) as Record<HarmKind, number>;
}

function blindTo({ quantities, measured, alarms }: ConditionFacts): Blind[] {
  const isLost = (probe: ProbeQuantityName, series: SeriesName) =>
    measured.has(probe) && (quantities[series]?.state ?? 'stale') === 'stale';
  const isUnjudged = (what: 'heat' | 'mist') =>
    alarms.some((record) => isActive(record) && mattersOf(record) === what);
  const isHeatLost = isLost('air/temperature', 'airTemperatureC') || isUnjudged('heat');
  return [
    ...(isHeatLost ? (['heat'] as const) : []),
    ...(measured.has('air/temperature') ? [] : (['heat-unmeasured'] as const)),
    ...(isLost('air/humidity', 'relativeHumidityPct') ? (['dryness'] as const) : []),
    ...(isLost('root/temperature', 'rootZoneTemperatureC') ? (['root-zone'] as const) : []),
    ...(isUnjudged('mist') ? (['mist'] as const) : []),
  ];
}

/** What cannot be judged without the probes that an alarm names, where that cannot wait. */
function mattersOf({ facts }: AlarmRecord) {
  return facts?.kind === 'no-data' ? facts.matters : null;
}

const OUT: ReadonlySet<BandState> = new Set<BandState>(['below', 'above', 'over-ceiling']);

/** Very humid air is what cuttings need: it is an excursion only where the sheet asks about saturation. */
function isOutOfBand({ quantities, moment }: ConditionFacts): boolean {
  const { airTemperatureC, rootZoneTemperatureC, airVpdKpa, relativeHumidityPct } = quantities;
  const isSaturated = relativeHumidityPct?.state === 'saturated' && asksOfSaturation(moment.targets);
  const isOut = [airTemperatureC, rootZoneTemperatureC].some((now) => OUT.has(now?.state ?? 'unjudged'));
  return isOut || airVpdKpa?.state === 'above' || isSaturated;
}

/** What harmed a place, worst first, then when nothing was read; what is not worth naming is left out. */
export function latelyOf({ excursions, gaps }: Seen): PlaceCondition['lately'] {
  const worstFirst = [...excursions].sort((a, b) => b.harm - a.harm);
  const named = worstFirst.filter(({ harm }) => harm >= WORTH_NAMING);
  // many small ones add up: the worst of them stands for all
  const harmful = (
    named.length > 0 || !isWorthWatching({ excursions, gaps: [] }) ? named : worstFirst.slice(0, 1)
  ).map(({ kind, fromMs, toMs, goesOn, peak, furthest, harm }) => ({
    kind,
    from: new Date(fromMs).toISOString(),
    to: goesOn ? null : new Date(toMs).toISOString(),
    peak,
    furthest,
    harm,
  }));
  const unseen = gaps.map(({ fromMs, toMs }) => ({
    kind: 'no-data' as const,
    from: new Date(fromMs).toISOString(),
    to: new Date(toMs).toISOString(),
    peak: null,
    furthest: null,
    harm: null,
  }));
  return [...harmful, ...unseen];
}
