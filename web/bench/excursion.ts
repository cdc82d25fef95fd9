import { type LimitSpan, limitsWithin, type PlotPoint } from './trace.ts';

type Spot = { readonly tMs: number; readonly value: number };
/** A stretch outside the band: `points` run along the trace, `limits` under the same times along the limit. */
export type Excursion = { readonly limits: readonly Spot[]; readonly points: readonly Spot[] };
type Outside = 'below' | 'above';

function at(before: Spot, after: Spot, tMs: number): Spot {
  const share = (tMs - before.tMs) / (after.tMs - before.tMs);
  return { tMs, value: before.value + share * (after.value - before.value) };
}

/** The part of a course between two moments, cut exactly. */
function cutCourse(course: readonly Spot[], cut: { fromMs: number; toMs: number }): Spot[] {
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

function beyond(course: readonly Spot[], { line }: LimitLine, outside: Outside): Excursion[] {
  const sign = outside === 'above' ? 1 : -1;
  const limitOf = (spot: Spot) => ({ tMs: spot.tMs, value: valueOn(line, spot.tMs) });
  const past = (spot: Spot) => sign * (spot.value - valueOn(line, spot.tMs));
  const found: Excursion[] = [];
  let open: Spot[] = [];
  const close = () => {
    if (open.length > 1) found.push({ limits: open.map(limitOf), points: open });
    open = [];
  };
  for (const [i, spot] of course.entries()) {
    const before = course[i - 1];
    if (before && past(before) > 0 !== past(spot) > 0) {
      const share = past(before) / (past(before) - past(spot));
      open.push(limitOf({ tMs: before.tMs + share * (spot.tMs - before.tMs), value: 0 }));
    }
    if (past(spot) > 0) open.push(spot);
    else close();
  }
  close();
  return found;
}

/** A limit without a jump: its corners, ascending. */
type LimitLine = { readonly fromMs: number; readonly toMs: number; readonly line: readonly Spot[] };

function valueOn(line: readonly Spot[], tMs: number): number {
  const next = line.findIndex((corner) => corner.tMs >= tMs);
  const [before, after] = [line[next - 1], line[next]];
  if (!after) return line.at(-1)?.value ?? Number.NaN;
  return before ? at(before, after, tMs).value : after.value;
}

/** Neighbouring spans between which the limit does not jump are one, so that a dawn does not cut an excursion in two. */
function linesOf(spans: readonly LimitSpan[], outside: Outside): LimitLine[] {
  const edge = outside === 'above' ? 'high' : 'low';
  const lines: LimitLine[] = [];
  for (const span of spans) {
    const { fromMs, toMs } = span;
    const [start, end] = [span[edge], limitsWithin(span, toMs)[edge]];
    const corner = { tMs: toMs, value: end };
    const last = lines.at(-1);
    if (last && last.toMs === fromMs && last.line.at(-1)?.value === start)
      lines[lines.length - 1] = { ...last, toMs, line: [...last.line, corner] };
    else lines.push({ fromMs, toMs, line: [{ tMs: fromMs, value: start }, corner] });
  }
  return lines;
}

/** A course with spots at the corners of the limit too, where both are straight between them. */
function withCorners(course: readonly Spot[], { line }: LimitLine): Spot[] {
  return course.flatMap((spot, i) => {
    const before = course[i - 1];
    if (!before) return [spot];
    const between = line.filter(({ tMs }) => before.tMs < tMs && tMs < spot.tMs);
    return [...between.map(({ tMs }) => at(before, spot, tMs)), spot];
  });
}

/**
 * Where a covered stretch lies outside its band: the areas between trace and limit.
 * Above is searched for along the highest values of each point, below along the lowest, so a short spike is kept.
 */
export function excursionsOf(
  run: readonly PlotPoint[],
  spans: readonly LimitSpan[],
  outside: Outside,
): Excursion[] {
  const course = run.map(({ tMs, min, max }) => ({ tMs, value: outside === 'above' ? max : min }));
  return linesOf(spans, outside).flatMap((line) =>
    beyond(withCorners(cutCourse(course, line), line), line, outside),
  );
}
