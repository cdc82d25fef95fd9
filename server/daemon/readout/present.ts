import type { Place } from '../../../shared/model/place.ts';
import type { Targets } from '../../../shared/model/targets.ts';
import { ceilingAlarmOf } from '../../../shared/rules/ceiling-alias.ts';
import type { HouseFacts, PlaceNow, PlaceSummary } from '../../../shared/wire/http.ts';
import { dayShareAt, movingDayNight } from '../../domain/calendar/ramp.ts';
import { horizonMs } from '../../domain/disk-space/horizon.ts';
import { ingredientsOf } from '../../domain/exposures/curves.ts';
import type { LatestReadings } from '../../domain/present/latest-readings.ts';
import { silenceLimitMs } from '../../domain/present/latest-readings.ts';
import { type PlaceValues, placeNow } from '../../domain/present/now.ts';
import { isSuspect } from '../../domain/probes/left-out.ts';
import type { Clock } from '../../ports.ts';
import type { DayNight, DayOrNight } from '../world/day-night.ts';
import { baseQuantity, skyOf } from '../world/records.ts';
import { type ConditionContext, placeCondition } from './condition.ts';

/** What questions are answered from. */
export type QueryContext = ConditionContext & {
  readonly clock: Clock;
  readonly dayNight: DayNight;
  readonly house: () => HouseFacts;
  /** the entry of shared/sources.md under a key */
  readonly sourceText: (key: string) => string;
};

/** The newest word of each probe of a place that ever reported, and whether it still reports. */
export function newestOf(place: Place, { world, clock }: QueryContext) {
  const nowMs = clock.nowMs();
  return world.probesOf(place.id).flatMap((probe) => {
    const latest = world.latest.get(probe.id);
    if (!latest || world.isAway(probe.id, latest.tMs)) return [];
    const quantity = baseQuantity(probe);
    const measured = newestMeasured(latest, { quantity, maxGapMs: place.settings.maxGapMs });
    const { tMs, value } = measured ?? latest;
    const limitMs = Math.max(silenceLimitMs(latest), place.settings.maxGapMs);
    const reporting = measured !== undefined && nowMs - tMs <= limitMs;
    const { device, name } = probe;
    return [{ device, name, quantity, tMs, value, reporting }];
  });
}

/** The same, with what each reported where that is corrected. */
export function newestReported(place: Place, context: QueryContext) {
  const { world, store } = context;
  return newestOf(place, context).map((newest) => {
    const id = world.probeNamed(newest)?.id;
    if (id === undefined || !store.corrections.touches(id, newest.tMs + 1)) return newest;
    const at = { fromMs: newest.tMs, toMs: newest.tMs };
    const [found] = store.journal.window({ probeIds: [id], ...at, asReported: true });
    const raw = found?.values[0] ?? newest.value;
    return { ...newest, raw: raw === newest.value ? null : raw };
  });
}

/** A reading that is no measurement is no newest word; a probe with no other does not report. */
function newestMeasured(latest: LatestReadings, judging: { quantity: string | null; maxGapMs: number }) {
  return latest.recent.findLast(
    (reading) => isSuspect({ ...reading, quantity: judging.quantity }, latest.recent, judging) === null,
  );
}

/** What a place is like now: its values, and how it does. */
export function nowOf(place: Place, context: QueryContext): PlaceNow {
  const values = valuesNow(place, context);
  const now = { ...dayOrNight(place, context), ...values, nowMs: context.clock.nowMs() };
  return { ...values, ...placeCondition(place, now, context) };
}

/** The newest value of each quantity of a place. */
export function valuesNow(place: Place, context: QueryContext): PlaceValues {
  const { world, clock } = context;
  const targets = world.targets(place.id, clock.nowMs());
  const probes = newestOf(place, context);
  const catchingUp = world.catchingUp(place.id, clock.nowMs()).size > 0;
  const probesAssigned = world.probesOf(place.id).length;
  const firstReadings = probes.length > 0 && !world.hasReported(place.id);
  const reporting = { probesAssigned, catchingUp, firstReadings };
  return placeNow({ place, probes, targets, ...dayOrNight(place, context), ...reporting });
}

/** Whether it is day or night at a place now. */
export function dayOrNight(place: Place, context: QueryContext): DayOrNight {
  const nowMs = context.clock.nowMs();
  const targets = context.world.targets(place.id, nowMs);
  return targets.dayBy?.kind === 'light'
    ? byLight(place, targets, context)
    : context.dayNight.at(place, nowMs);
}

function byLight(place: Place, targets: Targets, context: QueryContext): DayOrNight {
  const atMs = judgedAtMs(place, context);
  const window = { fromMs: atMs, toMs: atMs + 1 };
  const [half] = movingDayNight({
    targets,
    ...window,
    zone: context.timeZone,
    sky: skyOf(place, context),
  });
  return half ? { night: half.night, dayShare: dayShareAt(half, atMs) } : { night: true, dayShare: 0 };
}

/** Light is known up to its last reading only: where it decides, day or night is that of the last reading. */
function judgedAtMs(place: Place, context: QueryContext): number {
  const nowMs = context.clock.nowMs();
  const probes = newestOf(place, context);
  for (const quantity of ingredientsOf('ppfdUmolM2S')) {
    const lastMs = Math.max(0, ...probes.filter((one) => one.quantity === quantity).map(({ tMs }) => tMs));
    if (nowMs - lastMs <= place.settings.maxGapMs) return lastMs - 1;
  }
  return nowMs;
}

/** A place with its state and targets. */
export function summary(place: Place, context: QueryContext): PlaceSummary {
  const targets = context.world.targets(place.id, context.clock.nowMs());
  const { countedFromMs } = horizonMs(context.store.horizon.get());
  const kept = Number.isFinite(countedFromMs) ? { countedBefore: new Date(countedFromMs).toISOString() } : {};
  const settings = { ...place.settings, ceilingAlarm: ceilingAlarmOf(place.settings.alarms) };
  return { ...place, settings, now: nowOf(place, context), targets, ...kept };
}
