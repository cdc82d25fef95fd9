import type { Window } from '../../../shared/exposure/series.ts';
import { DEFAULT_PLACE_SETTINGS } from '../../../shared/model/place.ts';
import type { BatchExposures, BatchThermalTime } from '../../../shared/wire/cuttings/batches.ts';
import type { Exposures } from '../../../shared/wire/http.ts';
import { addExposures } from '../../domain/batches/add-exposures.ts';
import { endOf, type Holding, holding, type KeptBatch, type Stay } from '../../domain/batches/batch.ts';
import { cropLimits } from '../../domain/batches/crop-limits.ts';
import { exposuresFrom } from '../../domain/exposures/exposures.ts';
import type { StatedLimits } from '../../ports.ts';
import { thermalTimeOf } from '../readout/details.ts';
import { exposuresOver } from '../world/settled-exposures.ts';
import { type BatchContext, badRequest, isoOf } from './context.ts';

/** Exposures of a batch, whole and by stage, over the places where it stood. */
export function exposuresOf(batch: KeptBatch, context: BatchContext): BatchExposures {
  const life = lifeOf(batch, context);
  const stages = holding(batch.stages, life.toMs);
  return {
    whole: over(batch, life, context),
    stages: stages.map(({ n, stage, fromMs, toMs }) => ({
      n,
      stage,
      from: isoOf(fromMs),
      to: isoOf(toMs),
      exposures: over(batch, { fromMs, toMs }, context),
    })),
    missing: staysIn(batch, life)
      .filter(({ placeId }) => placeId === null || !context.world.places.has(placeId))
      .map(({ placeId, fromMs, toMs }) => ({ placeId, from: isoOf(fromMs), to: isoOf(toMs) })),
  };
}

/** From when it was stuck until it was closed, or now. */
export function lifeOf(batch: KeptBatch, { clock }: BatchContext): Window {
  return { fromMs: batch.stuckMs, toMs: Math.max(batch.stuckMs, Math.min(endOf(batch), clock.nowMs())) };
}

/** Where a batch stood over a span of its life, each stay cut to it. */
export function staysIn({ stays }: KeptBatch, { fromMs, toMs }: Window): Holding<Stay>[] {
  return holding(stays, toMs)
    .filter((stay) => stay.toMs > fromMs)
    .map((stay) => ({ ...stay, fromMs: Math.max(stay.fromMs, fromMs) }));
}

/** Exposures of a batch over a span of its life. */
export function over(batch: KeptBatch, span: Window, context: BatchContext): Exposures {
  const [first, ...rest] = staysIn(batch, span).map((stay) => atPlace(stay, context));
  if (!first) return nothing(batch.stays.at(-1)?.placeId ?? '', span);
  return addExposures([first, ...rest]);
}

function atPlace({ placeId, fromMs, toMs }: Holding<Stay>, context: BatchContext): Exposures {
  const place = placeId === null ? undefined : context.world.places.get(placeId);
  if (!place) return nothing(placeId ?? '', { fromMs, toMs });
  return exposuresOver(place, { fromMs, toMs }, { ...context, nowMs: context.clock.nowMs() });
}

/** Exposures of a span of which nothing is on record. */
function nothing(placeId: string, span: Window): Exposures {
  return exposuresFrom({
    placeId,
    ...span,
    settings: DEFAULT_PLACE_SETTINGS,
    records: {},
    days: [],
    sums: [],
  });
}

/** Thermal time of a batch over a span of its life, the whole unless given. */
export function thermalTimeOfBatch(
  batch: KeptBatch,
  stated: StatedLimits,
  context: BatchContext,
  span: Window = lifeOf(batch, context),
): BatchThermalTime {
  const limits = limitsOf(batch, stated);
  if (limits === null) return noLimits(batch);
  const { source, ...degrees } = limits;
  let [degreeHours, coveredHours] = [0, 0];
  for (const { placeId, ...stay } of staysIn(batch, span)) {
    const place = placeId === null ? undefined : context.world.places.get(placeId);
    if (!place) continue;
    const { fromMs, toMs } = stay;
    const one = thermalTimeOf(place, { fromMs, toMs, ...degrees }, context);
    degreeHours += one.degreeHours;
    coveredHours += one.coveredHours;
  }
  return { ...degrees, degreeHours, coveredHours, source, reason: null };
}

function noLimits({ body }: KeptBatch): BatchThermalTime {
  const reason = `no base, optimum and stop temperatures are published for ${body.crop}`;
  return {
    baseC: null,
    optimumC: null,
    stopC: null,
    degreeHours: null,
    coveredHours: null,
    source: null,
    reason,
  };
}

function limitsOf({ body }: KeptBatch, { baseC, optimumC, stopC }: StatedLimits) {
  if (baseC === undefined && optimumC === undefined && stopC === undefined) return cropLimits(body.crop);
  const rising = { baseC, optimumC, stopC };
  for (const [field, valueC] of Object.entries(rising))
    if (valueC === undefined)
      throw badRequest(field, `"${field}" must be a temperature: the three limits are given together.`);
  const [base, optimum, stop] = [baseC ?? 0, optimumC ?? 0, stopC ?? 0];
  if (optimum <= base) throw badRequest('optimumC', `"optimumC" must lie above "baseC", ${base}.`);
  if (stop <= optimum) throw badRequest('stopC', `"stopC" must lie above "optimumC", ${optimum}.`);
  return { baseC: base, optimumC: optimum, stopC: stop, source: null };
}
