import type { Place } from '../../../shared/model/place.ts';
import type { ForecastAnswer, ForecastQuantity } from '../../../shared/wire/places/forecast.ts';
import { bandOf } from '../../domain/exposures/bands.ts';
import { crossingOf } from '../../domain/forecast/crossing.ts';
import { type ForecastPoint, forecastFrom, isUnusual, POINTS } from '../../domain/forecast/forecast.ts';
import { type History, STEP_MS, STEPS_A_DAY } from '../../domain/forecast/history.ts';
import { hasSkill, type Learned, SKILL_HORIZON_MIN } from '../../domain/forecast/learn.ts';
import { type RecordContext, spansOf } from '../world/records.ts';
import { DAY_MS, historyFrom, measuredSteps, type Steps, stretchOf } from './day-steps.ts';

/** A newest reading older than this says nothing of the next two hours, ms: the last horizon reaches that much further. */
const FRESH_MS = 20 * 60_000;
/** What is looked back at: the last hour, and the two hours of yesterday that follow the same moment, ms. */
const BEFORE_MS = 70 * 60_000;
const YESTERDAY_MS = 130 * 60_000;

type Question = {
  readonly quantity: ForecastQuantity;
  readonly atMs: number;
  readonly learned: Learned | null;
};

/** The answer at a moment, by what was read up to it and nothing later. */
export function answerFrom(
  place: Place,
  { quantity, atMs, learned }: Question,
  context: RecordContext,
): ForecastAnswer {
  const nothing = {
    at: new Date(atMs).toISOString(),
    quantity,
    newest: null,
    points: [],
    limit: null,
    skill: skillOf(learned),
    shown: false,
  };
  if (!measuredSteps(place, context).includes(quantity)) return { ...nothing, reason: 'no-probe' };
  if (!learned?.skill) return { ...nothing, reason: 'learning' };
  const recent = recentOf(place, { quantity, atMs }, context);
  const points = recent ? forecastFrom(learned, recent, atMs) : [];
  const value = recent?.values.at(-1);
  if (points.length === 0 || value === undefined) return { ...nothing, reason: 'no-recent-reading' };
  if (isUnusual(learned, value)) return { ...nothing, newest: value, reason: 'unusual' };
  const shown = hasSkill(learned.skill);
  return {
    ...nothing,
    newest: value,
    points: points.map(({ tMs, ...point }) => ({ t: new Date(tMs).toISOString(), ...point })),
    limit: limitOf(place, { quantity, points, start: { tMs: atMs, value } }, context),
    shown,
    reason: shown ? null : 'no-skill',
  };
}

function skillOf(learned: Learned | null): ForecastAnswer['skill'] {
  return learned?.skill ? { horizonMin: SKILL_HORIZON_MIN, ...learned.skill } : null;
}

/** The day up to the newest reading, as far as a forecast looks at it; null where that is too old. */
function recentOf(
  place: Place,
  { quantity, atMs }: Pick<Question, 'quantity' | 'atMs'>,
  context: RecordContext,
): History | null {
  const freshMs = Math.min(FRESH_MS, place.settings.maxGapMs);
  const fromMs = atMs - freshMs - BEFORE_MS;
  const hour = stretchOf(place, { fromMs, toMs: atMs }, context);
  const newestMs = hour.newestMs(quantity);
  if (newestMs === null || atMs - newestMs > freshMs) return null;
  const grid = { startMs: newestMs - STEPS_A_DAY * STEP_MS, count: STEPS_A_DAY + 1 };
  const span = { fromMs: grid.startMs, toMs: Math.min(grid.startMs + YESTERDAY_MS, fromMs) };
  const yesterday = stretchOf(place, span, context);
  const names = measuredSteps(place, context);
  const steps = filled(hour.steps(grid), yesterday.steps(grid));
  return historyFrom(quantity, [steps], { startMs: grid.startMs, names });
}

/** One stretch where the other has nothing. */
function filled(steps: Steps, others: Steps): Steps {
  const entries = Object.entries(steps).map(([name, values]) => {
    const other = others[name as keyof Steps];
    return [name, values.map((value, n) => (Number.isNaN(value) ? (other?.[n] ?? value) : value))];
  });
  return Object.fromEntries(entries);
}

type Course = {
  readonly quantity: ForecastQuantity;
  readonly points: readonly ForecastPoint[];
  readonly start: { readonly tMs: number; readonly value: number };
};

/** When the air reaches its ceiling, or the root zone the foot of its band, if things go on as they usually do. */
function limitOf(
  place: Place,
  { quantity, points, start }: Course,
  context: RecordContext,
): ForecastAnswer['limit'] {
  const isAir = quantity === 'airTemperatureC';
  const limitAt = isAir ? ceilingAt(place, context) : footAt(place, start.tMs, context);
  const crossing = crossingOf(points, { start, limitAt, sense: isAir ? 'above' : 'below' });
  const { reachedMs, earliestMs, latestMs } = crossing;
  const asText = (ms: number | null) => (ms === null ? null : new Date(ms).toISOString());
  return {
    kind: isAir ? 'air-over-ceiling' : 'root-zone-below-band',
    value: limitAt(reachedMs ?? points.at(-1)?.tMs ?? start.tMs),
    reachedAt: asText(reachedMs),
    earliest: asText(earliestMs),
    latest: asText(latestMs),
  };
}

function ceilingAt(place: Place, { world }: RecordContext) {
  return (tMs: number): number => world.targets(place.id, tMs).air.ceilingC;
}

/** Where day goes by the light, nobody knows yet whether it will be: the lower of both bands counts. */
function footAt(place: Place, atMs: number, context: RecordContext) {
  const span = { fromMs: atMs, toMs: atMs + (POINTS + 1) * (DAY_MS / 288) };
  const targets = context.world.targets(place.id, atMs);
  const { day, night } = targets.rootZone;
  const lower = Math.min(day.lowC, night.lowC);
  if (targets.dayBy?.kind === 'light') return () => lower;
  const spans = spansOf(place, span, context);
  return (tMs: number): number => {
    const piece = spans.find(({ fromMs, toMs }) => tMs >= fromMs && tMs < toMs);
    return piece ? bandOf(piece, 'rootZone', tMs).lowC : lower;
  };
}
