import { whereAbove } from '../../../shared/exposure/intersect.ts';
import type { Window } from '../../../shared/exposure/series.ts';
import type { ThresholdSpan } from '../../../shared/exposure/threshold.ts';
import { mistDoubt } from '../mist/doubt.ts';
import { DEFAULT_LOOKBACK_MS, type DryGap } from '../mist/pattern.ts';
import type { MistRecord } from '../mist/pulse.ts';
import { dryGapsOf } from '../mist/summary.ts';
import type { Vent } from '../vents/vent.ts';
import {
  dryLimitMin,
  hoursOpen,
  LOOK_UP_EVERY_MS,
  MIST_LOOK_MS,
  SATURATION_LOOK_MS,
  VENTS_LOOK_MS,
} from './looks.ts';
import type { LimitSpan, PastSource } from './past.ts';
import { WHOLE_PLACE } from './signals.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 3_600_000;
/** A vent is one once the air has stayed dry for so long: before, nobody could have known. */
const KNOWN_AFTER_MS = 10 * MINUTE_MS;
/** Humidity that has not come back so long after a vent was shut did not come back. */
const BACK_WITHIN_MS = 2 * HOUR_MS;

/** What would have been looked up, and the limit it would have been held to. */
export type PastLooks = { readonly source: PastSource; readonly limits: readonly LimitSpan[] };

type Look = { readonly tMs: number; readonly value: number | null; readonly limit: number | null };

/** The span that is asked about, and until when there was anything to look up in it. */
export type LookSpan = Window & { readonly untilMs: number };

/** One look every five minutes of a span, as the watch would have looked. */
function looksOver(span: LookSpan, lookAt: (tMs: number) => Omit<Look, 'tMs'>): PastLooks {
  const looks: Look[] = [];
  for (let tMs = span.fromMs; tMs < Math.min(span.toMs, span.untilMs); tMs += LOOK_UP_EVERY_MS)
    looks.push({ tMs, ...lookAt(tMs) });
  const known = looks.filter(({ value }) => value !== null);
  const limits: LimitSpan[] = [];
  for (const [i, { tMs, limit }] of looks.entries()) {
    const toMs = looks[i + 1]?.tMs ?? span.toMs;
    const last = limits.at(-1);
    if (last && last.limit === limit) limits[limits.length - 1] = { ...last, toMs };
    else limits.push({ fromMs: tMs, toMs, limit });
  }
  const source = {
    source: WHOLE_PLACE,
    timesMs: Float64Array.from(known, ({ tMs }) => tMs),
    values: Float64Array.from(known, ({ value }) => value as number),
  };
  return { source, limits: limits.length > 0 ? limits : [{ ...span, limit: null }] };
}

/**
 * Minutes without mist in light as each look would have found them, and how long mist might have stayed away.
 * In hindsight a pulse is known at once, live some readings later.
 * @param mist recognised from a day before the span on
 * @param of.light when it was light for a plant; `of.lit` whether leaves lost water at a time
 */
export function dryLooks(
  mist: MistRecord,
  of: {
    readonly span: LookSpan;
    readonly light: readonly ThresholdSpan[];
    readonly lit: (tMs: number) => boolean;
    readonly intervalMs: number | null;
    readonly maxGapMs: number;
  },
): PastLooks {
  const { intervalMs, maxGapMs } = of;
  const gaps = dryGapsOf(mist, { light: of.light, intervalMs });
  const sound = soundAt(mist, intervalMs);
  let next = 0;
  return looksOver(of.span, (tMs) => {
    while (next < gaps.length && (gaps[next] as DryGap).fromMs < tMs) next += 1;
    const gap = gaps[next - 1];
    const seen = gap !== undefined && gap.toMs > tMs - MIST_LOOK_MS ? gap : undefined;
    const patternMs = seen?.patternMs ?? intervalMs;
    if (patternMs === null || !sound(tMs)) return { value: null, limit: null };
    const limit = dryLimitMin({ patternMs, light: of.lit(tMs) });
    if (!seen) return { value: 0, limit };
    const toMs = Math.min(seen.toMs, tMs);
    const fromMs = Math.max(seen.fromMs, tMs - MIST_LOOK_MS);
    return { value: tMs - toMs <= maxGapMs ? (toMs - fromMs) / MINUTE_MS : 0, limit };
  });
}

/** Whether mist could be counted on at a time, by the pulses of the day before; asked at times that only grow. */
function soundAt(mist: MistRecord, intervalMs: number | null): (tMs: number) => boolean {
  const { pulses, cadenceMs, covered } = mist;
  let [from, to, watched] = [0, 0, 0];
  let verdict = { untilMs: Number.NEGATIVE_INFINITY, sound: false };
  return (tMs) => {
    while (watched < covered.length && (covered[watched] as Window).toMs < tMs - MIST_LOOK_MS) watched += 1;
    const stretch = covered[watched];
    if (!stretch || stretch.fromMs >= tMs) return false;
    // a valve tells its own pulses, and what is not read seldom has no cadence to doubt
    if (cadenceMs === null) return true;
    if (tMs < verdict.untilMs) return verdict.sound;
    while (to < pulses.length && (pulses[to]?.fromMs ?? 0) < tMs) to += 1;
    while (from < to && (pulses[from]?.fromMs ?? 0) < tMs - DEFAULT_LOOKBACK_MS - MIST_LOOK_MS) from += 1;
    const doubt = mistDoubt({ pulses: pulses.slice(from, to), humidity: [], intervalMs, cadenceMs });
    // a day of pulses says much the same an hour later
    verdict = { untilMs: tMs + HOUR_MS, sound: doubt === null };
    return verdict.sound;
  };
}

/**
 * Hours a vent had been open as each look would have found them.
 * @param vents in order of their start, of the kinds that count at the place
 */
export function openLooks(
  vents: readonly Vent[],
  { span, reliable, limitAt }: { span: LookSpan; reliable: boolean; limitAt: (tMs: number) => number | null },
): PastLooks {
  return looksOver(span, (tMs) => {
    const seen = newestKnown(vents, tMs, VENTS_LOOK_MS);
    return { value: hoursOpen(seen, { nowMs: tMs, reliable }), limit: limitAt(tMs) };
  });
}

/**
 * Hours of saturated air since the last vent as each look would have found them.
 * @param of.saturation when humidity was at or above saturation
 */
export function saturatedLooks(
  vents: readonly Vent[],
  of: {
    readonly span: LookSpan;
    readonly saturation: readonly ThresholdSpan[];
    readonly limitAt: (tMs: number) => number | null;
  },
): PastLooks {
  const until = hoursUntil(whereAbove(of.saturation));
  return looksOver(of.span, (tMs) => {
    const startMs = tMs - SATURATION_LOOK_MS;
    const seen = newestKnown(vents, tMs, SATURATION_LOOK_MS);
    const fromMs = seen === null ? startMs : Math.min(Math.max(seen.toMs ?? seen.fromMs, startMs), tMs);
    return { value: until(tMs) - until(fromMs), limit: of.limitAt(tMs) };
  });
}

/** The newest vent that touches the time looked back, as it would have been known at the time. */
function newestKnown(vents: readonly Vent[], tMs: number, lookMs: number): Vent | null {
  for (let i = vents.length - 1; i >= 0; i -= 1) {
    const vent = vents[i] as Vent;
    const knownMs = vent.how === 'logged' ? vent.fromMs : vent.fromMs + KNOWN_AFTER_MS;
    if (knownMs >= tMs) continue;
    const known = asKnown(vent, tMs);
    return (known.toMs ?? known.fromMs) < tMs - lookMs ? null : known;
  }
  return null;
}

function asKnown(vent: Vent, tMs: number): Vent {
  const { toMs } = vent;
  if (toMs === null || toMs >= tMs) return { ...vent, toMs: null, humidityBack: null, backAtMs: null };
  const isBack = vent.backAtMs !== null && vent.backAtMs <= tMs;
  const isLate = vent.humidityBack === false && tMs > toMs + BACK_WITHIN_MS;
  return { ...vent, humidityBack: isBack ? true : isLate ? false : null };
}

/** Hours of ascending windows that lie before a time. */
function hoursUntil(windows: readonly Window[]): (tMs: number) => number {
  const before = [0];
  for (const { fromMs, toMs } of windows) before.push((before.at(-1) as number) + toMs - fromMs);
  return (tMs) => {
    let [low, high] = [0, windows.length];
    while (low < high) {
      const middle = (low + high) >>> 1;
      if ((windows[middle] as Window).toMs <= tMs) low = middle + 1;
      else high = middle;
    }
    const open = windows[low];
    const inside = open && tMs > open.fromMs ? tMs - open.fromMs : 0;
    return ((before[low] as number) + inside) / HOUR_MS;
  };
}
