import { MS_PER_HOUR, type Segments, type Window } from '../../../shared/exposure/series.ts';

/** How hard the air pulled at dry leaves over a span of time. */
type EvaporativeDemand = {
  /** kPa·h */
  readonly kpaHours: number;
  readonly coveredHours: number;
  /** of the covered hours: those in which wetness was not measured, so that the sum is an upper bound */
  readonly wetnessUnknownHours: number;
};

/**
 * How hard the air pulled water out of leaves: the accumulated vapour pressure gradient from leaf to air, less the share
 * of the leaf that was wet, as a wet part loses its film first.
 *
 * Gradient and wet share run in straight lines between readings, and the integral is exact along them. Where dew forms,
 * the gradient is below 0 and nothing is counted.
 * @param gradient from leaf to air, kPa
 * @param wetShare of the leaf, 0…1; where nothing is known of it the leaf is taken as dry
 * @param window the span asked about, ms since epoch
 * @returns kPa·h, 0 or more, with how much of it rests on leaves taken as dry
 * @source [LOACH226] accumulated gradient, reduced in proportion to the wetted share
 * @example evaporativeDemand(gradient, wetShare, window).kpaHours // 0.731 in an hour with a dry leaf of 27 °C in air of 24 °C, 95 %
 */
export function evaporativeDemand(gradient: Segments, wetShare: Segments, window: Window): EvaporativeDemand {
  const sums = { kpaHours: 0, coveredHours: 0, wetnessUnknownHours: 0 };
  let first = 0;
  for (let i = 0; i < gradient.count; i++) {
    const fromMs = Math.max(gradient.startMs[i] as number, window.fromMs);
    const toMs = Math.min(gradient.endMs[i] as number, window.toMs);
    if (fromMs >= toMs) continue;
    while (first < wetShare.count && (wetShare.endMs[first] as number) <= fromMs) first += 1;
    for (const piece of piecesOf(wetShare, { fromMs, toMs, first })) {
      const hours = (piece.toMs - piece.fromMs) / MS_PER_HOUR;
      const gradients = ends(gradient, i, piece);
      const dry =
        piece.at === null
          ? ([1, 1] as const)
          : (ends(wetShare, piece.at, piece).map((share) => 1 - Math.min(Math.max(share, 0), 1)) as [
              number,
              number,
            ]);
      sums.kpaHours += hours * meanOfProduct(gradients, dry);
      sums.coveredHours += hours;
      if (piece.at === null) sums.wetnessUnknownHours += hours;
    }
  }
  return sums;
}

/** A part of a span over which wetness runs in one straight line, or is not known. */
type Piece = Window & { readonly at: number | null };

function piecesOf(wetShare: Segments, { fromMs, toMs, first }: Window & { readonly first: number }): Piece[] {
  const pieces: Piece[] = [];
  let nextMs = fromMs;
  for (let at = first; at < wetShare.count && nextMs < toMs; at++) {
    const startMs = wetShare.startMs[at] as number;
    if (startMs >= toMs) break;
    if (startMs > nextMs) pieces.push({ fromMs: nextMs, toMs: startMs, at: null });
    const endMs = Math.min(wetShare.endMs[at] as number, toMs);
    const beginMs = Math.max(startMs, nextMs);
    if (endMs <= beginMs) continue;
    pieces.push({ fromMs: beginMs, toMs: endMs, at });
    nextMs = endMs;
  }
  if (nextMs < toMs) pieces.push({ fromMs: nextMs, toMs, at: null });
  return pieces;
}

/** The values of a straight piece at both ends of a part of it. */
function ends(
  { startMs, endMs, startValue, endValue }: Segments,
  i: number,
  { fromMs, toMs }: Window,
): readonly [number, number] {
  const [start, end] = [startMs[i] as number, endMs[i] as number];
  const [from, to] = [startValue[i] as number, endValue[i] as number];
  const at = (tMs: number) => (end === start ? from : from + ((to - from) * (tMs - start)) / (end - start));
  return [at(fromMs), at(toMs)];
}

/** Mean of gradient × dry share along two straight lines, the gradient's part below 0 left out. */
function meanOfProduct(gradients: readonly [number, number], dry: readonly [number, number]): number {
  const [from, to] = gradients;
  if (from <= 0 && to <= 0) return 0;
  if (from >= 0 && to >= 0) return simpson(gradients, dry);
  const crossing = from / (from - to);
  const dryThere = dry[0] + crossing * (dry[1] - dry[0]);
  return from > 0
    ? crossing * simpson([from, 0], [dry[0], dryThere])
    : (1 - crossing) * simpson([0, to], [dryThere, dry[1]]);
}

/** Exact for the product of two straight lines. */
function simpson(a: readonly [number, number], b: readonly [number, number]): number {
  return (a[0] * b[0] + (a[0] + a[1]) * (b[0] + b[1]) + a[1] * b[1]) / 6;
}
