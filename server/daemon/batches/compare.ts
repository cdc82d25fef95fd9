import type { Window } from '../../../shared/exposure/series.ts';
import type { CompareDays, Comparison } from '../../../shared/wire/cuttings/batches.ts';
import type { KeptBatch } from '../../domain/batches/batch.ts';
import { leadsOf } from '../../domain/batches/leading.ts';
import { meanDifferences } from '../../domain/batches/mean-difference.ts';
import { strikeDifference, strikeOf } from '../../domain/batches/strike.ts';
import type { CompareQuery } from '../../ports.ts';
import { requirePlace } from '../readout/queries.ts';
import { aTurn, type BatchContext, badRequest, requireBatch } from './context.ts';
import { lifeOf, over, staysIn, thermalTimeOfBatch } from './sums.ts';

const MS_PER_HOUR = 3_600_000;
const DAY_MS = 24 * MS_PER_HOUR;
/** Most days since sticking that are compared one by one. */
const MOST_DAYS = 120;

/** A batch as it is compared; a bench is compared as if the batch that leads there had stood there all along. */
type Subject = { readonly id: string; readonly batch: KeptBatch };

/** Batches or benches beside each other, over as long since sticking as the shortest of them has. */
export function compare(query: CompareQuery, context: BatchContext): Comparison {
  const subjects = subjectsOf(query, context);
  const lengthMs = sharedLengthMs(subjects, context);
  const seen = subjects.map(({ id, batch }) => {
    const span = { fromMs: batch.stuckMs, toMs: batch.stuckMs + lengthMs };
    const exposures = over(batch, span, context);
    const thermalTime = thermalTimeOfBatch(batch, {}, context, span);
    return { id, batch, exposures, thermalTime, sensorErrorK: sensorErrorOf(batch, span, context) };
  });
  const pairs = seen.flatMap((first, i) =>
    seen.slice(i + 1).map((second) => ({
      first: first.id,
      second: second.id,
      strike: strikeBetween(first, second),
      means: meanDifferences(first, second),
    })),
  );
  return {
    strike: pairs[0]?.strike ?? null,
    pairs,
    hours: lengthMs / MS_PER_HOUR,
    batches: seen.map(({ id, batch, exposures, thermalTime }) => ({
      id,
      batchId: String(batch.id),
      strike: strikeOf(batch),
      exposures,
      thermalTime,
    })),
  };
}

/** The same day by day since sticking; between two days everybody else has a turn. */
export async function compareDays(query: CompareQuery, context: BatchContext): Promise<CompareDays> {
  const subjects = subjectsOf(query, context);
  const lengthMs = sharedLengthMs(subjects, context);
  const count = Math.min(Math.ceil(lengthMs / DAY_MS), MOST_DAYS);
  const days: CompareDays['days'][number][] = [];
  for (let day = 0; day < count; day++) {
    const values = subjects.map(({ batch }) => {
      const fromMs = batch.stuckMs + day * DAY_MS;
      const span = { fromMs, toMs: Math.min(fromMs + DAY_MS, batch.stuckMs + lengthMs) };
      return dayOf(batch, span, context);
    });
    days.push({ day: day + 1, values });
    await aTurn();
  }
  return { ids: subjects.map(({ id }) => id), days };
}

function dayOf(
  batch: KeptBatch,
  span: Window,
  context: BatchContext,
): CompareDays['days'][number]['values'][number] {
  const { air, rootZone, vpd, saturation, light, harm } = over(batch, span, context);
  const { degreeHours } = thermalTimeOfBatch(batch, {}, context, span);
  return {
    rootZoneMeanC: rootZone.meanC,
    airMeanC: air.meanC,
    airMaxC: air.maxC,
    vpdMeanKpa: vpd.meanKpa,
    hoursSaturated: saturation.coveredHours > 0 ? saturation.hoursSaturated : null,
    molM2: light.coveredHours > 0 ? light.days.reduce((sum, { dliMolM2 }) => sum + dliMolM2, 0) : null,
    thermalDegreeHours: degreeHours,
    harm: harm === null ? null : Object.values(harm).reduce((sum, one) => sum + one, 0),
  };
}

/** @throws Fault `bad-request` for a bench without a batch, `not-found` for what is not there */
function subjectsOf({ batches, places }: CompareQuery, context: BatchContext): Subject[] {
  if (places === undefined) return (batches ?? []).map((id) => ({ id, batch: requireBatch(id, context) }));
  return places.map((placeId) => {
    requirePlace(context.world, placeId);
    const { store, clock } = context;
    const nowMs = clock.nowMs();
    const asked = {
      placeId,
      batches: store.batches.atPlace(placeId),
      choices: store.batches.choices(placeId),
    };
    const lead = leadsOf(asked).findLast(({ fromMs, batch }) => fromMs <= nowMs && batch !== null);
    if (!lead?.batch)
      throw badRequest(
        'places',
        `No batch stood at "${placeId}" yet: benches are compared by days since sticking.`,
      );
    const { batch } = lead;
    const stays = [{ n: 0, placeId, fromMs: batch.stuckMs, entered: 0 }];
    return { id: placeId, batch: { ...batch, stays } };
  });
}

function sharedLengthMs(subjects: readonly Subject[], context: BatchContext): number {
  const lives = subjects.map(({ batch }) => lifeOf(batch, context));
  return Math.min(...lives.map(({ fromMs, toMs }) => toMs - fromMs));
}

function strikeBetween(first: Subject, second: Subject) {
  const found = strikeDifference(first.batch, second.batch);
  if (found === null || found.better === null) return found;
  return { ...found, better: found.better === String(first.batch.id) ? first.id : second.id };
}

/** What a temperature sensor of the places of a batch may be off by, K: the largest of them. */
function sensorErrorOf(batch: KeptBatch, span: Window, { world }: BatchContext): number {
  const places = staysIn(batch, span).flatMap(({ placeId }) => world.places.get(placeId ?? '') ?? []);
  return Math.max(0, ...places.map(({ settings }) => settings.sensorError.temperatureK));
}
