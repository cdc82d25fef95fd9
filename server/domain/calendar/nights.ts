import type { Segments, Window } from '../../../shared/exposure/series.ts';
import { thresholdSpans } from '../../../shared/exposure/threshold.ts';
import type { Targets } from '../../../shared/model/targets.ts';
import { clockSwitches, isNight as isNightByClock } from './days.ts';
import { type Coordinates, sunUp } from './sun.ts';

/** What is known of the sky at a place: location, and the photon flux its light probes report (µmol m⁻² s⁻¹). */
export type Sky = { readonly at: Coordinates | null; readonly ppfd: (span: Window) => Segments };

/** A stretch of day, or of night. */
export type Half = Window & { readonly night: boolean };

export type DayNightQuestion = Window & {
  readonly targets: Targets;
  readonly zone: string;
  readonly sky: Sky | null;
};

/** Dark that lasts no longer than this between two bright stretches is a cloud, not a night. Common practice, no source. */
export const CLOUD_MS = 45 * 60_000;

/**
 * Cuts a span into days and nights: by the clock, by sunrise and sunset at the place, or by its light probe.
 * Where the place states no coordinates, or its light is not covered, the clock decides.
 * @returns contiguous, ascending, covering exactly the span
 */
export function dayAndNight(question: DayNightQuestion): Half[] {
  const { targets, sky } = question;
  const by = targets.dayBy ?? { kind: 'clock' };
  if (by.kind === 'sun' && sky?.at) return bySun(question, sky.at);
  if (by.kind === 'light' && sky) return byLight(question, { ...by, ppfd: sky.ppfd });
  return byClock(question);
}

function byClock({ targets, fromMs, toMs, zone }: DayNightQuestion): Half[] {
  const inside = clockSwitches({ targets, fromMs, toMs, zone }).filter(
    ({ atMs }) => atMs > fromMs && atMs < toMs,
  );
  const starts = [{ atMs: fromMs, toNight: isNightByClock({ atMs: fromMs, targets, zone }) }, ...inside];
  return starts.map(({ atMs, toNight }, i) => ({
    fromMs: atMs,
    toMs: starts[i + 1]?.atMs ?? toMs,
    night: toNight,
  }));
}

function bySun({ fromMs, toMs }: DayNightQuestion, at: Coordinates): Half[] {
  const days = sunUp({ fromMs, toMs, at }).map((up) => ({ ...up, night: false }));
  return filled(days, { fromMs, toMs }, (down) => [{ ...down, night: true }]);
}

type Light = Pick<Sky, 'ppfd'> & { readonly ppfdUmolM2S: number };

function byLight(question: DayNightQuestion, { ppfd, ppfdUmolM2S }: Light): Half[] {
  const { fromMs, toMs } = question;
  const wide = { fromMs: fromMs - CLOUD_MS, toMs: toMs + CLOUD_MS };
  const seen = withoutClouds(thresholdSpans(ppfd(wide), ppfdUmolM2S, wide)).map(({ above, ...span }) => ({
    fromMs: Math.max(span.fromMs, fromMs),
    toMs: Math.min(span.toMs, toMs),
    night: !above,
  }));
  const known = seen.filter((half) => half.fromMs < half.toMs);
  return filled(known, { fromMs, toMs }, (unseen) => byClock({ ...question, ...unseen }));
}

/** Ascending halves with what lies between and around them put in, neighbours of one kind joined. */
function filled(known: readonly Half[], { fromMs, toMs }: Window, fill: (between: Window) => Half[]): Half[] {
  const dayNight: Half[] = [];
  let atMs = fromMs;
  for (const half of known) {
    if (half.fromMs > atMs) dayNight.push(...fill({ fromMs: atMs, toMs: half.fromMs }));
    dayNight.push(half);
    atMs = half.toMs;
  }
  if (atMs < toMs) dayNight.push(...fill({ fromMs: atMs, toMs }));
  return merged(dayNight);
}

function withoutClouds<T extends Window & { above: boolean }>(spans: readonly T[]): T[] {
  return spans.map((span, i) => {
    const [before, after] = [spans[i - 1], spans[i + 1]];
    const joined = before?.toMs === span.fromMs && after?.fromMs === span.toMs;
    const isCloud = joined && !span.above && span.toMs - span.fromMs <= CLOUD_MS;
    return isCloud ? { ...span, above: true } : span;
  });
}

function merged(dayNight: readonly Half[]): Half[] {
  const out: Half[] = [];
  for (const half of dayNight) {
    const last = out.at(-1);
    if (last?.night === half.night) out[out.length - 1] = { ...last, toMs: half.toMs };
    else out.push(half);
  }
  return out;
}
