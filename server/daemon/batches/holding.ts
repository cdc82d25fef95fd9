import type { Segments } from '../../../shared/exposure/series.ts';
import type { BatchHolding } from '../../../shared/wire/cuttings/holding.ts';
import type { KeptBatch } from '../../domain/batches/batch.ts';
import { boxWindow, holdingOf } from '../../domain/batches/holding.ts';
import { curveOf } from '../../domain/exposures/curves.ts';
import { recordsOf } from '../world/records.ts';
import type { BatchContext } from './context.ts';

/** How long and how warm a batch was held before it was stuck. */
export function batchHolding(batch: KeptBatch, context: BatchContext): BatchHolding {
  return holdingOf(batch, { temperature: inTheBox(batch, context), zone: context.timeZone });
}

/** By the air probe of the place that stood for the box; null where none is named, or it is no longer watched. */
function inTheBox(batch: KeptBatch, context: BatchContext): Segments | null {
  const place = context.world.places.get(batch.body.boxPlaceId ?? '');
  const window = boxWindow(batch);
  if (!place || window === null) return null;
  const records = recordsOf(place, window, ['air/temperature'], context);
  return curveOf('airTemperatureC', { records, settings: place.settings }).segments;
}
