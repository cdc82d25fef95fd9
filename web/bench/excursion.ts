import type { LimitSpan, PlotPoint } from './trace.ts';

export type Spot = { readonly tMs: number; readonly value: number };
/** A stretch outside the band: `points` run along the trace and start and end on `limit` or at a cut. */
export type Excursion = { readonly limit: number; readonly points: readonly Spot[] };
export type Outside = 'below' | 'above';

function at(before: Spot, after: Spot, tMs: number): Spot {
  const share = (tMs - before.tMs) / (after.tMs - before.tMs);
  return { tMs, value: before.value + share * (after.value - before.value) };
}

/** The part of a course between two moments, cut exactly. */
export function cutCourse(course: readonly Spot[], cut: { fromMs: number; toMs: number }): Spot[] {
  const kept: Spot[] = [];
  for (const [i, spot] of course.entries()) {
    const before = course[i - 1];
    if (before) {
      for (const edgeMs of [cut.fromMs, cut.toMs]) {
        if (before.tMs < edgeMs && edgeMs < spot.tMs) kept.push(at(before, spot, edgeMs));
      }
    }
    if (cut.fromMs <= spot.tMs && spot.tMs <= cut.toMs) kept.push(spot);
  }
  return kept;
}

function beyond(course: readonly Spot[], limit: number, outside: Outside): Excursion[] {
  const isOut = (spot: Spot) => (outside === 'above' ? spot.value > limit : spot.value < limit);
  const found: Excursion[] = [];
  let open: Spot[] = [];
  const close = () => {
    if (open.length > 1) found.push({ limit, points: open });
    open = [];
  };
  for (const [i, spot] of course.entries()) {
    const before = course[i - 1];
    if (before && isOut(before) !== isOut(spot)) {
      const share = (limit - before.value) / (spot.value - before.value);
      open.push({ tMs: before.tMs + share * (spot.tMs - before.tMs), value: limit });
    }
    if (isOut(spot)) open.push(spot);
    else close();
  }
  close();
  return found;
}

type LimitStep = { readonly fromMs: number; readonly toMs: number; readonly limit: number };

/** Neighbouring spans with the same limit are one, so that a dawn does not cut an excursion in two. */
function stepsOf(spans: readonly LimitSpan[], outside: Outside): LimitStep[] {
  const steps: LimitStep[] = [];
  for (const { fromMs, toMs, low, high } of spans) {
    const limit = outside === 'above' ? high : low;
    const last = steps.at(-1);
    if (last && last.toMs === fromMs && last.limit === limit) steps[steps.length - 1] = { ...last, toMs };
    else steps.push({ fromMs, toMs, limit });
  }
  return steps;
}

/**
 * Where a covered stretch lies outside its band: the areas between trace and limit.
 * Above is looked for along the highest values of each point, below along the lowest, so a short spike is kept.
 */
export function excursionsOf(
  run: readonly PlotPoint[],
  spans: readonly LimitSpan[],
  outside: Outside,
): Excursion[] {
  const course = run.map(({ tMs, min, max }) => ({ tMs, value: outside === 'above' ? max : min }));
  return stepsOf(spans, outside).flatMap((step) => beyond(cutCourse(course, step), step.limit, outside));
}
