import type { Place } from '../../../../shared/model/place.ts';
import type { FloorExpectedFacts } from '../../../../shared/rules/facts.ts';
import type { ForecastAnswer } from '../../../../shared/wire/places/forecast.ts';
import { type AlarmRecord, isActive } from '../../../domain/alarms/record.ts';
import { type ByMorning, lowestByMorning, type NightHistory } from '../../../domain/forecast/by-morning.ts';
import { STEP_MS } from '../../../domain/forecast/history.ts';
import { isExpected } from '../../../domain/forecast/notices.ts';
import { type RecordContext, spansOf } from '../../world/records.ts';
import { type Steps, stretchOf } from '../day-steps.ts';

/** The notice may come so long before the night begins, ms. */
const BEFORE_NIGHT_MS = 3 * 3_600_000;
const LONGEST_NIGHT_MS = 18 * 3_600_000;
/** What is looked back at, steps: three hours and a step. */
const BACK_STEPS = 19;
/** It is looked at so often, and said so exactly. */
const SAID_TO_MS = 10 * 60_000;
const SAID_TO_C = 0.1;

/** The night that is on, or begins within three hours, ms since epoch; null by day, and where day goes by the light. */
export function nightAround(
  place: Place,
  nowMs: number,
  context: RecordContext,
): { readonly fromMs: number; readonly toMs: number } | null {
  if (context.world.targets(place.id, nowMs).dayBy?.kind === 'light') return null;
  const window = { fromMs: nowMs - LONGEST_NIGHT_MS, toMs: nowMs + BEFORE_NIGHT_MS + LONGEST_NIGHT_MS };
  let [fromMs, toMs]: [number | null, number] = [null, 0];
  for (const piece of spansOf(place, window, context)) {
    if (piece.night) [fromMs, toMs] = [fromMs ?? piece.fromMs, piece.toMs];
    else if (toMs > nowMs) break;
    else fromMs = null;
  }
  return fromMs === null || toMs <= nowMs || fromMs - nowMs > BEFORE_NIGHT_MS ? null : { fromMs, toMs };
}

type Known = {
  readonly forecast: ForecastAnswer | null;
  readonly byMorning: ByMorning | null;
  readonly record: AlarmRecord;
};

/** What the notice about a cold root zone says now; null where none is due, undefined where nothing new is known. */
export function floorExpected(
  place: Place,
  { forecast, byMorning, record }: Known,
  nowMs: number,
  context: RecordContext,
): FloorExpectedFacts | null | undefined {
  const active = isActive(record);
  const night = nightAround(place, nowMs, context);
  if (night === null) return active ? null : undefined;
  const recent = recentNight(place, nowMs, context);
  const valueC = recent?.root.at(-1);
  if (recent === null || valueC === undefined || Number.isNaN(valueC)) return undefined;
  const floorC = context.world.targets(place.id, nowMs).rootZone.night.lowC;
  if (valueC <= floorC) return active ? null : undefined;
  const lowest = byMorning && lowestByMorning(byMorning, recent, night.toMs);
  const reachedMs = forecast?.shown ? reachedOf(forecast) : { reachedMs: null, earliestMs: null };
  const isSoon = isExpected(reachedMs, { isActive: active, nowMs });
  const isCold = lowest !== null && (active ? lowest.low80 : lowest.value) < floorC;
  if (!isSoon && !isCold) return active ? null : undefined;
  const said = {
    kind: 'floor-expected',
    floorC,
    expectedMs: reachedMs.reachedMs === null ? null : rounded(reachedMs.reachedMs, SAID_TO_MS),
    morningMs: night.toMs,
    lowest: lowest && {
      valueC: rounded(lowest.value, SAID_TO_C),
      low80C: rounded(lowest.low80, SAID_TO_C),
      high80C: rounded(lowest.high80, SAID_TO_C),
    },
  } as const;
  const { facts } = record;
  const isSame =
    active &&
    facts?.kind === 'floor-expected' &&
    facts.expectedMs === said.expectedMs &&
    facts.lowest?.valueC === said.lowest?.valueC;
  return isSame ? undefined : { ...said, valueC, atMs: nowMs };
}

/** The root zone and what is around it over the last three hours, up to now; null where it has no probe. */
function recentNight(place: Place, nowMs: number, context: RecordContext): NightHistory | null {
  const span = { fromMs: nowMs - BACK_STEPS * STEP_MS, toMs: nowMs };
  const stretch = stretchOf(place, span, context);
  const newestMs = stretch.newestMs('rootZoneTemperatureC');
  if (newestMs === null) return null;
  const startMs = newestMs - (BACK_STEPS - 1) * STEP_MS;
  return nightHistory(stretch.steps({ startMs, count: BACK_STEPS }), startMs);
}

/** What nights are learned from, and looked at, of what was measured; null where no probe measures the root zone. */
export function nightHistory(steps: Steps, startMs: number): NightHistory | null {
  const { rootZoneTemperatureC: root, airTemperatureC: air, outsideTemperatureC: outside } = steps;
  return root ? { startMs, root, air: air ?? null, outside: outside ?? null } : null;
}

function reachedOf({ limit }: ForecastAnswer) {
  const at = (text: string | null | undefined) => (text ? Date.parse(text) : null);
  return { reachedMs: at(limit?.reachedAt), earliestMs: at(limit?.earliest) };
}

function rounded(value: number, step: number): number {
  return Math.round(value / step) * step;
}
