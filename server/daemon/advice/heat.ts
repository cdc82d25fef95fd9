import type { Place } from '../../../shared/model/place.ts';
import type { HeatPaid } from '../../../shared/wire/places/advice.ts';
import { dutyOf, energyOf, heldKh } from '../../domain/advice/heat-paid.ts';
import { localDays } from '../../domain/calendar/days.ts';
import { curveOf } from '../../domain/exposures/curves.ts';
import { STEP_MS, stepsOf } from '../../domain/forecast/history.ts';
import type { Parts, Span } from '../../ports.ts';
import type { QueryContext } from '../readout/present.ts';
import { recordsOf } from '../world/records.ts';

const STEP_MIN = STEP_MS / 60_000;
const READ = ['root/temperature', 'air/temperature', 'heat/power'] as const;

type Question = Span & { readonly ratedW: number | null };

/** What bottom heat cost over a span, day by day, and what it held. */
export function* heatPaid(
  place: Place,
  { fromMs, toMs, ratedW }: Question,
  context: QueryContext,
): Parts<HeatPaid> {
  const measured = new Set(context.world.probesOf(place.id).map(({ quantity }) => quantity));
  const how = measured.has('heat/power') ? 'measured' : ratedW === null ? null : 'duty';
  const days: HeatPaid['days'][number][] = [];
  if (measured.has('root/temperature') && measured.has('air/temperature'))
    for (const day of localDays({ fromMs, toMs, zone: context.timeZone })) {
      const span = { fromMs: Math.max(day.fromMs, fromMs), toMs: Math.min(day.toMs, toMs) };
      days.push({ date: day.date, ...paidIn(place, { ...span, how, ratedW }, context) });
      yield;
    }
  const kWh = how === null || days.length === 0 ? null : days.reduce((sum, day) => sum + (day.kWh ?? 0), 0);
  const held = days.reduce((sum, day) => sum + day.heldKh, 0);
  const rooted = rootedAt(place, { fromMs, toMs }, context);
  return {
    placeId: place.id,
    from: new Date(fromMs).toISOString(),
    to: new Date(toMs).toISOString(),
    how,
    ratedW: how === 'duty' ? ratedW : null,
    days,
    kWh,
    heldKh: held,
    wattHoursPerKh: kWh === null || held <= 0 ? null : (kWh * 1000) / held,
    rooted,
    kWhPerRooted: kWh === null || !rooted ? null : kWh / rooted,
    reason: days.length === 0 ? 'no-root-zone' : how === null ? 'no-power' : null,
  };
}

type Paid = Question & { readonly how: HeatPaid['how'] };

function paidIn(place: Place, { how, ratedW, ...span }: Paid, context: QueryContext) {
  const records = recordsOf(place, span, READ, context);
  const { settings } = place;
  const grid = { startMs: span.fromMs, count: Math.max(1, Math.ceil((span.toMs - span.fromMs) / STEP_MS)) };
  const steps = (name: 'rootZoneTemperatureC' | 'airTemperatureC') =>
    stepsOf(curveOf(name, { records, settings }).segments, grid);
  const both = { root: steps('rootZoneTemperatureC'), air: steps('airTemperatureC') };
  const held = { heldKh: heldKh(both, STEP_MIN) };
  if (how === 'measured') {
    const { kWh, coveredHours } = energyOf(
      within(curveOf('heatPowerW', { records, settings }).segments, span),
    );
    return { ...held, kWh, coveredHours };
  }
  const { share, coveredHours } = dutyOf(both, STEP_MIN);
  return { ...held, kWh: ratedW === null ? null : (share * coveredHours * ratedW) / 1000, coveredHours };
}

/** Segments cut to a span. */
function within(segments: ReturnType<typeof curveOf>['segments'], { fromMs, toMs }: Span) {
  const kept: [number, number, number, number][] = [];
  for (let n = 0; n < segments.count; n++) {
    const [start, end] = [segments.startMs[n] as number, segments.endMs[n] as number];
    const [from, to] = [Math.max(start, fromMs), Math.min(end, toMs)];
    if (to <= from || end <= start) continue;
    const [a, b] = [segments.startValue[n] as number, segments.endValue[n] as number];
    const at = (tMs: number) => a + ((b - a) * (tMs - start)) / (end - start);
    kept.push([from, to, at(from), at(to)]);
  }
  return {
    count: kept.length,
    startMs: Float64Array.from(kept, ([from]) => from),
    endMs: Float64Array.from(kept, ([, to]) => to),
    startValue: Float64Array.from(kept, ([, , value]) => value),
    endValue: Float64Array.from(kept, ([, , , value]) => value),
  };
}

/** Cuttings that rooted, by the newest count of each batch that stood there in the span and was counted; null without one. */
function rootedAt(place: Place, { fromMs, toMs }: Span, { store }: QueryContext): number | null {
  const counted = store.batches.atPlace(place.id).flatMap((batch) => {
    const newest = batch.counts.at(-1);
    const stood = batch.stays.some((stay) => stay.placeId === place.id && stay.fromMs < toMs);
    const isOver = (batch.closed?.atMs ?? toMs) < fromMs || batch.deletedMs !== null;
    if (!newest || !stood || isOver || newest.count.looked === 0) return [];
    return [(newest.count.rooted / newest.count.looked) * batch.body.count];
  });
  return counted.length === 0 ? null : Math.round(counted.reduce((sum, one) => sum + one, 0));
}
