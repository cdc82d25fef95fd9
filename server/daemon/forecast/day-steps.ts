import type { Place } from '../../../shared/model/place.ts';
import type { ProbeQuantityName } from '../../../shared/quantities.ts';
import type { ForecastQuantity } from '../../../shared/wire/places/forecast.ts';
import { curveOf, ingredientsOf } from '../../domain/exposures/curves.ts';
import { type History, STEP_MS, STEPS_A_DAY, stepsOf } from '../../domain/forecast/history.ts';
import type { Parts, Span } from '../../ports.ts';
import { baseQuantity, type RecordContext, recordsOf } from '../world/records.ts';

export const DAY_MS = STEPS_A_DAY * STEP_MS;

/** What forecasts are made from. */
export type StepName =
  | ForecastQuantity
  | 'outsideTemperatureC'
  | 'relativeHumidityPct'
  | 'ppfdUmolM2S'
  | 'heatPowerW';
const STEP_NAMES = [
  'airTemperatureC',
  'rootZoneTemperatureC',
  'outsideTemperatureC',
  'relativeHumidityPct',
  'ppfdUmolM2S',
  'heatPowerW',
] as const satisfies readonly StepName[];

/** What each quantity follows, where the place measures it. */
const FOLLOWS = {
  airTemperatureC: ['outsideTemperatureC', 'rootZoneTemperatureC', 'relativeHumidityPct', 'ppfdUmolM2S'],
  rootZoneTemperatureC: ['airTemperatureC', 'outsideTemperatureC', 'heatPowerW', 'ppfdUmolM2S'],
} as const satisfies Record<ForecastQuantity, readonly StepName[]>;

/** Each quantity every ten minutes over the same span; those that the place has probes for. */
export type Steps = Readonly<Partial<Record<StepName, Float64Array>>>;

/** What the place has probes for, of what forecasts are made from. */
export function measuredSteps(place: Place, { world }: Pick<RecordContext, 'world'>): StepName[] {
  const measured = new Set<ProbeQuantityName | null>(world.probesOf(place.id).map(baseQuantity));
  return STEP_NAMES.filter((name) => ingredientsOf(name).some((quantity) => measured.has(quantity)));
}

type Grid = { readonly startMs: number; readonly count: number };

type Stretch = {
  readonly newestMs: (name: StepName) => number | null;
  readonly steps: (grid: Grid) => Steps;
};

/** What was read of a place within a span, and nothing after its end or a given time; every ten minutes on any grid. */
export function stretchOf(
  place: Place,
  span: Span,
  context: RecordContext,
  notAfterMs: number = span.toMs,
): Stretch {
  const names = measuredSteps(place, context);
  const wanted = [...new Set(names.flatMap((name) => ingredientsOf(name)))];
  const records = recordsOf(place, span, wanted, context, { notAfterMs });
  const curves = names.map((name) => [name, curveOf(name, { records, settings: place.settings })] as const);
  return {
    steps: (grid) =>
      Object.fromEntries(curves.map(([name, { segments }]) => [name, stepsOf(segments, grid)])),
    newestMs: (name) => curves.find(([one]) => one === name)?.[1].knots.timesMs.at(-1) ?? null,
  };
}

/** A day is read in so many parts: all readings of one would hold others up for too long. */
const PARTS_A_DAY = 4;

/** The quantities of a day (UTC), by what was read before its end. */
export function* dayOf(place: Place, startMs: number, context: RecordContext): Parts<Steps> {
  const count = STEPS_A_DAY / PARTS_A_DAY;
  const parts: Steps[] = [];
  for (let part = 0; part < PARTS_A_DAY; part++) {
    const fromMs = startMs + part * count * STEP_MS;
    const span = { fromMs, toMs: fromMs + count * STEP_MS - 1 };
    parts.push(stretchOf(place, span, context, startMs + DAY_MS - 1).steps({ startMs: fromMs, count }));
    yield;
  }
  return together(parts);
}

/** Stretches one after the other as one. */
export function together(parts: readonly Steps[]): Steps {
  const [first = {}] = parts;
  return Object.fromEntries(Object.keys(first).map((name) => [name, joined(name as StepName, parts)]));
}

/** A quantity and what it follows, put together from stretches one after the other; null where no probe measures it. */
export function historyFrom(
  quantity: ForecastQuantity,
  stretches: readonly Steps[],
  { startMs, names }: { readonly startMs: number; readonly names: readonly StepName[] },
): History | null {
  if (!names.includes(quantity)) return null;
  const drivers = FOLLOWS[quantity].filter((name) => names.includes(name));
  return {
    startMs,
    values: joined(quantity, stretches),
    drivers: drivers.map((name) => ({ isTemperature: name.endsWith('C'), values: joined(name, stretches) })),
  };
}

function joined(name: StepName, stretches: readonly Steps[]): Float64Array {
  const lengths = stretches.map((steps) => lengthOf(steps));
  const values = new Float64Array(lengths.reduce((sum, length) => sum + length, 0)).fill(Number.NaN);
  let at = 0;
  for (const [n, steps] of stretches.entries()) {
    const own = steps[name];
    if (own) values.set(own, at);
    at += lengths[n] as number;
  }
  return values;
}

/** A day without readings is a day all the same. */
function lengthOf(steps: Steps): number {
  return Object.values(steps)[0]?.length ?? STEPS_A_DAY;
}
