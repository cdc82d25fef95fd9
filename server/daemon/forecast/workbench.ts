import type { Place } from '../../../shared/model/place.ts';
import type { ForecastQuantity } from '../../../shared/wire/places/forecast.ts';
import type { NightHistory } from '../../domain/forecast/by-morning.ts';
import { type Fits, LEARNING_DAYS, type Learned, learning } from '../../domain/forecast/learn.ts';
import type { Parts } from '../../ports.ts';
import type { RecordContext } from '../world/records.ts';
import {
  DAY_MS,
  dayOf,
  historyFrom,
  measuredSteps,
  type StepName,
  type Steps,
  together,
} from './day-steps.ts';
import { nightHistory } from './notices/floor.ts';

/** Days and fits of one place, so that what is asked of one midnight after another is read and fitted once. */
export type Workbench = {
  /** the root zone and what is around it over the days before a midnight; null where it has no probe, or no record */
  nights(midnightMs: number): Parts<NightHistory | null>;
  /** learns of a quantity from the days before a midnight, ms since epoch; pauses after each quarter of a day that is read, and each fit */
  learn(quantity: ForecastQuantity, midnightMs: number): Parts<Learned | null>;
};

type DaysRead = { readonly firstMs: number; readonly stretches: readonly Steps[] };

/** Beyond so many days the oldest are let go. */
const MOST_DAYS = LEARNING_DAYS + 4;

export function createWorkbench(place: Place, context: RecordContext): Workbench {
  const names: readonly StepName[] = measuredSteps(place, context);
  const probeIds = context.world.probesOf(place.id).map(({ id }) => id);
  const days = new Map<number, Steps>();
  const fits = new Map<ForecastQuantity, Fits>();
  const fitsOf = (quantity: ForecastQuantity): Fits => {
    const known = fits.get(quantity) ?? new Map();
    fits.set(quantity, known);
    return known;
  };
  function* daysBefore(midnightMs: number): Parts<DaysRead | null> {
    const oldestMs = context.store.journal.oldestMs(probeIds);
    if (oldestMs === null) return null;
    const firstMs = Math.max(midnightMs - LEARNING_DAYS * DAY_MS, Math.floor(oldestMs / DAY_MS) * DAY_MS);
    const stretches: Steps[] = [];
    for (let dayMs = firstMs; dayMs < midnightMs; dayMs += DAY_MS) {
      const known = days.get(dayMs);
      const steps = known ?? (yield* dayOf(place, dayMs, context));
      days.set(dayMs, steps);
      stretches.push(steps);
    }
    forgetOldest(days, MOST_DAYS);
    return { firstMs, stretches };
  }
  return {
    *nights(midnightMs) {
      const read = names.includes('rootZoneTemperatureC') ? yield* daysBefore(midnightMs) : null;
      return read && nightHistory(together(read.stretches), read.firstMs);
    },
    *learn(quantity, midnightMs) {
      const read = names.includes(quantity) ? yield* daysBefore(midnightMs) : null;
      if (read === null) return null;
      const { firstMs, stretches } = read;
      const history = historyFrom(quantity, stretches, { startMs: firstMs, names });
      const known = fitsOf(quantity);
      const learned = history && (yield* learning(history, known));
      forgetOldest(known, MOST_DAYS);
      return learned;
    },
  };
}

function forgetOldest(byTime: Map<number, unknown>, most: number): void {
  for (const key of [...byTime.keys()].sort((a, b) => a - b).slice(0, Math.max(0, byTime.size - most)))
    byTime.delete(key);
}
