import type { Place } from '../../../shared/model/place.ts';
import type { BatchDemand } from '../../../shared/wire/cuttings/demand.ts';
import { entryAt, type KeptBatch } from '../../domain/batches/batch.ts';
import { evaporativeDemand } from '../../domain/batches/evaporative-demand.ts';
import { curveOf, ingredientsOf, leafOffsetFrom } from '../../domain/exposures/curves.ts';
import { lightDays } from '../../domain/exposures/light-days.ts';
import type { Span } from '../../ports.ts';
import { recordsOf } from '../world/records.ts';
import { aTurn, type BatchContext, isoOf } from './context.ts';
import { exposuresOf, lifeOf, staysIn } from './sums.ts';

const DAY_MS = 86_400_000;
/** A day of which less is covered says nothing of its light. */
const WHOLE_DAY_H = 22;

/**
 * How hard the air pulled at dry leaves of a batch since it was stuck, and the light it had against what its sheet wants.
 * Between two days of the record everybody else has a turn.
 */
export async function demandOf(batch: KeptBatch, context: BatchContext): Promise<BatchDemand> {
  const life = lifeOf(batch, context);
  const sums = { kpaHours: 0, coveredHours: 0, wetnessUnknownHours: 0, leafEstimatedHours: 0 };
  for (const { placeId, fromMs, toMs } of staysIn(batch, life)) {
    const place = placeId === null ? undefined : context.world.places.get(placeId);
    if (!place) continue;
    for (let startMs = fromMs; startMs < toMs; startMs += DAY_MS) {
      const day = overDay(place, { fromMs: startMs, toMs: Math.min(startMs + DAY_MS, toMs) }, context);
      sums.kpaHours += day.kpaHours;
      sums.coveredHours += day.coveredHours;
      sums.wetnessUnknownHours += day.wetnessUnknownHours;
      if (day.isEstimated) sums.leafEstimatedHours += day.coveredHours;
      await aTurn();
    }
  }
  return { from: isoOf(life.fromMs), to: isoOf(life.toMs), ...sums, light: lightOf(batch, context) };
}

function overDay(place: Place, span: Span, context: BatchContext) {
  const { settings } = place;
  const records = recordsOf(place, span, [...ingredientsOf('leafVpdKpa'), 'leaf/wetness'], context);
  const curve = (name: 'leafVpdKpa' | 'leafWetness') => curveOf(name, { records, settings }).segments;
  const isEstimated = leafOffsetFrom({ records, settings }) !== 'probe';
  return { ...evaporativeDemand(curve('leafVpdKpa'), curve('leafWetness'), span), isEstimated };
}

/** Light of its days against what the targets of each want, where it stood then. */
function lightOf(batch: KeptBatch, context: BatchContext): BatchDemand['light'] {
  const { whole } = exposuresOf(batch, context);
  const { world, timeZone: zone } = context;
  const wantedAt = (atMs: number) => {
    const placeId = entryAt(batch.stays, Math.max(atMs, batch.stuckMs))?.placeId ?? null;
    return placeId === null || !world.places.has(placeId) ? undefined : world.targets(placeId, atMs).light;
  };
  const byDay = lightDays(whole.light.days, { ...lifeOf(batch, context), zone, wantedAt });
  if (byDay.length === 0) return null;
  const sums = { days: 0, molM2: 0, wantedLowMolM2: 0, wantedHighMolM2: 0 };
  for (const { coveredHours, dliMolM2, wantedLowMolM2: low, wantedHighMolM2: high } of byDay) {
    if (coveredHours < WHOLE_DAY_H || low === null || high === null) continue;
    sums.days += 1;
    sums.molM2 += dliMolM2;
    sums.wantedLowMolM2 += low;
    sums.wantedHighMolM2 += high;
  }
  return { ...sums, byDay };
}
