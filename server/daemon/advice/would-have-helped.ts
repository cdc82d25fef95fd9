import type { Place } from '../../../shared/model/place.ts';
import type { WouldHaveHelped } from '../../../shared/wire/places/advice.ts';
import {
  type Body,
  bodyOf,
  type Change,
  type Course,
  changed,
  freeRun,
} from '../../domain/advice/first-order.ts';
import { localDays } from '../../domain/calendar/days.ts';
import { curveOf } from '../../domain/exposures/curves.ts';
import { STEP_MS, stepsOf } from '../../domain/forecast/history.ts';
import type { Parts, Span } from '../../ports.ts';
import { ventsIn } from '../readout/details.ts';
import type { QueryContext } from '../readout/present.ts';
import { recordsOf } from '../world/records.ts';

const DAY_MS = 86_400_000;
const STEP_MIN = STEP_MS / 60_000;
/** Days before yesterday that are learned from, and how many there must be. */
const LEARNED_DAYS = 14;
const LEAST_DAYS = 3;
/** Less than this share better than "as the day before" is no skill, but chance. */
const LEAST_GAIN = 0.05;
/** Half of 80 % of a normal distribution, standard errors. */
const WITHIN_80 = 1.2816;
/** A vent that is asked about lasts an hour around the peak. */
const VENT_STEPS = 6;
const LEAST_VENT_STEPS = 6;
/** Any value does: what heats it by itself is fitted beside it, °C. */
const AROUND_C = 15;
const READ = ['air/temperature', 'outside/temperature', 'light/ppfd', 'light/illuminance'] as const;

type Question = { readonly what: 'shade' | 'vent'; readonly transmission: number };

/** What a shade or a vent would have done to the day before, by how this place follows light and outside. */
export function* wouldHaveHelped(
  place: Place,
  { what, transmission }: Question,
  context: QueryContext,
): Parts<WouldHaveHelped> {
  const nowMs = context.clock.nowMs();
  const ceilingC = context.world.targets(place.id, nowMs).air.ceilingC;
  const days = localDays({
    fromMs: nowMs - (LEARNED_DAYS + 2) * DAY_MS,
    toMs: nowMs,
    zone: context.timeZone,
  }).slice(-(LEARNED_DAYS + 2), -1);
  const yesterday = days.at(-1);
  const nothing = {
    placeId: place.id,
    date: yesterday?.date ?? '',
    what,
    transmission: what === 'shade' ? transmission : null,
    ceilingC,
    as: null,
    would: null,
    skill: null,
  };
  const measured = new Set(context.world.probesOf(place.id).map(({ quantity }) => quantity));
  const hasLight = measured.has('light/ppfd') || measured.has('light/illuminance');
  const hasOutside = measured.has('outside/temperature');
  // without an outside to follow faster nothing can be said of a vent
  if (!measured.has('air/temperature') || !hasLight || (what === 'vent' && !hasOutside))
    return { ...nothing, reason: 'no-probes' };
  const courses: Course[] = [];
  for (const day of days) {
    courses.push(courseOf(place, { ...day, hasOutside }, context));
    yield;
  }
  const asked = courses.at(-1);
  if (!asked || peakOf(asked.air) === null) return { ...nothing, reason: 'no-day' };
  const before = courses.slice(0, -1).filter((course) => peakOf(course.air) !== null);
  const body = before.length < LEAST_DAYS ? null : bodyOf(together(before));
  if (body === null) return { ...nothing, reason: 'learning' };
  const without = before.map((_, n) => bodyOf(together(before.filter((_one, other) => other !== n))));
  const skill = skillOf(before, without);
  const as = outcome(asked.air, ceilingC);
  if (skill === null || skill.maeK >= (1 - LEAST_GAIN) * skill.beforeMaeK)
    return { ...nothing, as, skill, reason: 'no-skill' };
  const lossTimes = what === 'vent' ? ventTimes(place, { body, days, courses }, context) : null;
  if (what === 'vent' && lossTimes === null) return { ...nothing, as, skill, reason: 'no-vents' };
  const change = lossTimes === null ? shadeOf(asked, transmission) : ventOf(asked, lossTimes);
  const peaks = without.flatMap((one) =>
    one === null ? [] : [peakOf(changed(one, asked, change)) ?? []].flat(),
  );
  const air = changed(body, asked, change);
  const would = outcome(air, ceilingC);
  const error = jackknifeError(peaks) * WITHIN_80;
  return {
    ...nothing,
    as,
    would: { ...would, low80C: would.peakC - error, high80C: would.peakC + error },
    skill,
    reason: null,
  };
}

/** Without a probe outside what is around the place counts as always the same; how well that does is scored. */
function courseOf(
  place: Place,
  { hasOutside, ...span }: Span & { readonly hasOutside: boolean },
  context: QueryContext,
): Course {
  const records = recordsOf(place, span, READ, context);
  const grid = { startMs: span.fromMs, count: Math.floor((span.toMs - span.fromMs) / STEP_MS) };
  const steps = (name: 'airTemperatureC' | 'outsideTemperatureC' | 'ppfdUmolM2S') =>
    stepsOf(curveOf(name, { records, settings: place.settings }).segments, grid);
  return {
    stepMin: STEP_MIN,
    air: steps('airTemperatureC'),
    outside: hasOutside ? steps('outsideTemperatureC') : new Float64Array(grid.count).fill(AROUND_C),
    light: steps('ppfdUmolM2S'),
  };
}

/** Days one after the other, with a gap between them. */
function together(courses: readonly Course[]): Course {
  const joined = (name: 'air' | 'outside' | 'light') =>
    Float64Array.from(courses.flatMap((course) => [...course[name], Number.NaN]));
  return { stepMin: STEP_MIN, air: joined('air'), outside: joined('outside'), light: joined('light') };
}

function skillOf(before: readonly Course[], without: readonly (Body | null)[]): WouldHaveHelped['skill'] {
  const scores = before.flatMap((day, n) => {
    const [body, last] = [without[n], before[n - 1]];
    const score = body && last ? freeRun(body, day, last.air) : null;
    return score === null ? [] : [score];
  });
  if (scores.length === 0) return null;
  const mean = (of: (score: (typeof scores)[number]) => number) =>
    scores.reduce((sum, score) => sum + of(score), 0) / scores.length;
  return { maeK: mean(({ maeK }) => maeK), beforeMaeK: mean((one) => one.beforeMaeK), days: scores.length };
}

/** A shade from the first light on. */
function shadeOf({ air }: Course, transmission: number): Change {
  return { fromStep: 0, toStep: air.length, transmission };
}

/** A vent of an hour that begins half an hour before the peak. */
function ventOf({ air }: Course, lossTimes: number): Change {
  const peak = peakOf(air) ?? 0;
  const at = Math.max(0, air.indexOf(peak) - VENT_STEPS / 2);
  return { fromStep: at, toStep: at + VENT_STEPS, lossTimes };
}

type Vented = { readonly body: Body; readonly days: readonly Span[]; readonly courses: readonly Course[] };

/** How many times faster the place followed the outside while it was vented; null where that was seen for less than an hour. */
function ventTimes(place: Place, { body, days, courses }: Vented, context: QueryContext): number | null {
  const [first, last] = [days[0], days.at(-1)];
  if (!first || !last) return null;
  const { vents } = ventsIn(place, { fromMs: first.fromMs, toMs: last.toMs }, context);
  const open = vents.map(({ from, to }) => ({ fromMs: Date.parse(from), toMs: to ? Date.parse(to) : 0 }));
  let [moves, squares, count] = [0, 0, 0];
  for (const [n, course] of courses.entries())
    for (let step = 0; step + 1 < course.air.length; step++) {
      const tMs = (days[n] as Span).fromMs + step * STEP_MS;
      if (!open.some(({ fromMs, toMs }) => tMs >= fromMs && tMs + STEP_MS <= toMs)) continue;
      const over = (course.outside[step] as number) - (course.air[step] as number);
      const move = (((course.air[step + 1] as number) - (course.air[step] as number)) / STEP_MIN) * 60;
      const rest = move - body.gainPerH * (course.light[step] as number) - body.heatPerH;
      if (Number.isNaN(rest * over)) continue;
      moves += rest * over;
      squares += over * over;
      count++;
    }
  const times = squares > 0 ? moves / squares / body.lossPerH : 0;
  return count >= LEAST_VENT_STEPS && times > 1 ? times : null;
}

function peakOf(air: Float64Array): number | null {
  const known = air.filter((value) => !Number.isNaN(value));
  return known.length < air.length / 2 ? null : Math.max(...known);
}

function outcome(air: Float64Array, ceilingC: number): { peakC: number; hoursOverCeiling: number } {
  const over = air.filter((value) => value > ceilingC).length;
  return { peakC: peakOf(air) ?? Number.NaN, hoursOverCeiling: (over * STEP_MIN) / 60 };
}

/** Standard error by leaving out one day at a time. */
function jackknifeError(values: readonly number[]): number {
  const count = values.length;
  if (count < 2) return 0;
  const mean = values.reduce((sum, value) => sum + value, 0) / count;
  const squares = values.reduce((sum, value) => sum + (value - mean) ** 2, 0);
  return Math.sqrt(((count - 1) / count) * squares);
}
