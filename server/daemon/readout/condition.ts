import { WIDE_OPEN } from '../../../shared/exposure/bands.ts';
import { sumOver } from '../../../shared/exposure/sums.ts';
import type { Place } from '../../../shared/model/place.ts';
import type { NowValue, PlaceCondition, SeriesName } from '../../../shared/wire/http.ts';
import { batchesStanding } from '../../domain/batches/standing.ts';
import { curveOf } from '../../domain/exposures/curves.ts';
import { conditionOf, harmOf, type LastDay, latelyOf, ratesNow } from '../../domain/harm/condition.ts';
import { excursionsIn } from '../../domain/harm/excursions.ts';
import { gapsIn } from '../../domain/harm/gaps.ts';
import { goesOnBefore, isWorthWatching, rememberedOf, type Seen } from '../../domain/harm/remembered.ts';
import { MORNING_SHEET, rememberedFromMs, sheetReaders } from '../../domain/people/morning-sheet.ts';
import type { Span } from '../../ports.ts';
import { baseQuantity, type RecordContext, recordsOf, spansOf } from '../world/records.ts';

const DAY_MS = 86_400_000;
/** What the last 24 h did is evaluated again after so long, ms. */
const FRESH_MS = 60_000;
/** Places evaluated in one second, so that hundreds of them make no turn long; the others are as they were evaluated last. */
const MOST_A_SECOND = 5;
/** What was evaluated is not used beyond this, ms. */
const STALE_MS = 600_000;
/** What is remembered beyond the last 24 h is looked up again after so long, ms. */
const LONGER_FRESH_MS = 3_600_000;

type Kept = LastDay & {
  readonly atMs: number;
  readonly settings: unknown;
  readonly history: unknown;
  readonly probes: string;
  readonly longer: Longer | null;
};
type Longer = Seen & { readonly atMs: number };

/** What was beyond its limit at a place, and what could not be seen. */
function excursionsOver(place: Place, window: Span, context: RecordContext): Omit<LastDay, 'remembered'> {
  const names = ['air/temperature', 'air/humidity', 'root/temperature'] as const;
  const records = recordsOf(place, window, names, context);
  const { settings } = place;
  const curves = {
    air: curveOf('airTemperatureC', { records, settings }).segments,
    rootZone: curveOf('rootZoneTemperatureC', { records, settings }).segments,
    vpd: curveOf('airVpdKpa', { records, settings }).segments,
  };
  const spans = spansOf(place, window, context);
  const seen = curves.air.count > 0 ? curves.air : curves.rootZone;
  return {
    excursions: excursionsIn(curves, { spans, window }),
    gaps: gapsIn(seen, window),
    coveredMs: sumOver(seen, WIDE_OPEN, window).coveredMs,
  };
}

/** From when on things are remembered, evaluated once a minute: what a morning sheet has shown is not. */
function createRememberedFrom({ store }: RecordContext) {
  let kept = { minute: Number.NaN, fromMs: 0 };
  return (nowMs: number): number => {
    const minute = Math.floor(nowMs / FRESH_MS);
    if (kept.minute === minute) return kept.fromMs;
    const hasReaders = sheetReaders(store.people.roster()).length > 0;
    const shownMs = hasReaders ? store.outbox.newestSent(MORNING_SHEET) : null;
    kept = { minute, fromMs: rememberedFromMs({ hasReaders, shownMs, nowMs }) };
    return kept.fromMs;
  };
}

/** What the last 24 h did to each place, and what is remembered of it, evaluated once a minute at most. */
export function createLastDays(context: RecordContext) {
  const kept = new Map<string, Kept>();
  const rememberedFrom = createRememberedFrom(context);
  const longerAt = (place: Place, of: { fromMs: number; nowMs: number; known: Longer | null }) => {
    const { fromMs, nowMs, known } = of;
    const dayFromMs = nowMs - DAY_MS;
    if (fromMs >= dayFromMs) return null;
    const isFresh = known && nowMs - known.atMs < LONGER_FRESH_MS && !goesOnBefore(known, dayFromMs);
    return isFresh ? known : { atMs: nowMs, ...excursionsOver(place, { fromMs, toMs: nowMs }, context) };
  };
  let lookups = { second: 0, count: 0 };
  const mayRefresh = (nowMs: number): boolean => {
    const second = Math.floor(nowMs / 1_000);
    if (lookups.second !== second) lookups = { second, count: 0 };
    lookups.count += 1;
    return lookups.count <= MOST_A_SECOND;
  };
  return (place: Place, nowMs: number, { isNew = false } = {}): LastDay => {
    const before = kept.get(place.id);
    const { settings } = place;
    const history = context.world.history(place.id);
    const probes = context.world
      .probesOf(place.id)
      .map(({ id }) => id)
      .join();
    const holds =
      before && before.settings === settings && before.history === history && before.probes === probes;
    const ageMs = nowMs - (before?.atMs ?? nowMs);
    const isFresh = ageMs >= 0 && (ageMs < FRESH_MS || (ageMs < STALE_MS && !mayRefresh(nowMs)));
    if (holds && isFresh && !isNew) return before;
    const dayFromMs = nowMs - DAY_MS;
    const day = excursionsOver(place, { fromMs: dayFromMs, toMs: nowMs }, context);
    const fromMs = rememberedFrom(nowMs);
    const longer = longerAt(place, { fromMs, nowMs, known: holds ? before.longer : null });
    const remembered = rememberedOf({ day, dayFromMs, longer, fromMs });
    const found = { atMs: nowMs, settings, history, probes, ...day, longer, remembered };
    kept.set(place.id, found);
    return found;
  };
}
type LastDays = ReturnType<typeof createLastDays>;

/** What the condition of a place is read from. */
export type ConditionContext = RecordContext & { readonly lastDays: LastDays };

type Now = {
  readonly quantities: Readonly<Partial<Record<SeriesName, NowValue>>>;
  readonly night: boolean;
  readonly dayShare: number;
  readonly nowMs: number;
};

/** How a place does now. */
export function placeCondition(
  place: Place,
  now: Now,
  { world, store, lastDays }: ConditionContext,
): PlaceCondition {
  const { quantities, night, dayShare, nowMs } = now;
  const probes = world.probesOf(place.id).map(baseQuantity);
  return conditionOf({
    lastDay: lastDays(place, nowMs),
    quantities,
    moment: { targets: world.targets(place.id, nowMs), night, dayShare },
    measured: new Set(probes.filter((quantity) => quantity !== null)),
    alarms: [...world.alarms.values()].filter(({ placeId }) => placeId === place.id),
    standing: () => batchesStanding(store.batches.atPlace(place.id), { placeId: place.id, nowMs }),
    nowMs,
  });
}

/** What is remembered of a place, up to now, worst first; nothing where it need not be watched for it. */
export function rememberedAt(place: Place, nowMs: number, { lastDays }: ConditionContext) {
  const { remembered } = lastDays(place, nowMs, { isNew: true });
  return isWorthWatching(remembered) ? latelyOf(remembered) : [];
}

/** Harm by kind of the last 24 h, and what each adds an hour now. */
export function harmNow(place: Place, now: Now, { world, lastDays }: ConditionContext) {
  const { quantities, night, dayShare, nowMs } = now;
  const moment = { targets: world.targets(place.id, nowMs), night, dayShare };
  return {
    harm: harmOf(lastDays(place, nowMs).excursions),
    ratePerHour: ratesNow({ quantities, moment }),
  };
}
