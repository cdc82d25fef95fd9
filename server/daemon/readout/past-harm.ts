import type { LimitPiece } from '../../../shared/exposure/bands.ts';
import { segmentsOf } from '../../../shared/exposure/coverage.ts';
import { excessOver } from '../../../shared/exposure/integrate.ts';
import type { ProbeRecord, Segments } from '../../../shared/exposure/series.ts';
import type { LimitRuleDefinition } from '../../../shared/rules/rules.ts';
import type { PastAnswer } from '../../../shared/wire/alarms/past.ts';
import type { LimitSpan, PastSource } from '../../domain/alarms/past.ts';
import type { Span } from '../../ports.ts';

/** Hours covered, and what was past the place's own limit in them. */
export type Harm = { readonly coveredHours: number; readonly harm: number };
export type HarmReader = (window: Span) => Harm;

/** Shorter than this a limit that bends counts as straight, ms. */
const STRAIGHT_MS = 1_000;

/** Where a limit is a time or a dose itself, what is past it is counted in hours, not in hours times hours. */
export function harmIn({ unit }: Pick<LimitRuleDefinition, 'unit'>): PastAnswer['harmIn'] {
  return unit === 'min' || unit === 'h' || unit === 'K.h' ? 'hours' : 'unit-hours';
}

/** What was past the place's own limit in a window: of the source that was furthest past it. */
export function harmReader(
  sources: readonly PastSource[],
  {
    maxGapMs,
    own,
    definition,
  }: { maxGapMs: number; own: readonly LimitSpan[]; definition: LimitRuleDefinition },
): HarmReader {
  const sign = definition.sense === 'below' ? -1 : 1;
  const pieces = own.flatMap((span) => (span.at ? straightPieces(span, span.at) : [span]));
  const limits = pieces.map(({ fromMs, toMs, limit, toLimit = limit }) => ({
    fromMs,
    toMs,
    limit: limit === null ? null : sign * limit,
    toLimit: toLimit === null ? null : sign * toLimit,
  }));
  const segments = sources.map(({ timesMs, values }) =>
    segmentsOf(signed({ timesMs, values }, sign), { maxGapMs }),
  );
  const inHours = harmIn(definition) === 'hours';
  const inWindow = (one: Segments, window: Span): Harm => {
    const touched = limits.filter(({ fromMs, toMs }) => fromMs < window.toMs && toMs > window.fromMs);
    const { coveredHours, hoursOver, unitHoursOver } = excessOver(one, touched, window);
    return { coveredHours, harm: inHours ? hoursOver : unitHoursOver };
  };
  return (window) => {
    if (window.toMs <= window.fromMs) return { coveredHours: 0, harm: 0 };
    const all = segments.map((one) => inWindow(one, window));
    return {
      coveredHours: Math.max(0, ...all.map(({ coveredHours }) => coveredHours)),
      harm: Math.max(0, ...all.map(({ harm }) => harm)),
    };
  };
}

/** A limit may bend where a rule takes the larger of two: it is cut there, to a second. */
function straightPieces({ fromMs, toMs }: Span, at: (tMs: number) => number | null): LimitPiece[] {
  const [limit, toLimit] = [at(fromMs), at(toMs)];
  const middleMs = Math.round((fromMs + toMs) / 2);
  const middle = at(middleMs);
  const share = (middleMs - fromMs) / (toMs - fromMs);
  const straight = (limit ?? 0) + ((toLimit ?? 0) - (limit ?? 0)) * share;
  if (toMs - fromMs <= STRAIGHT_MS || Math.abs((middle ?? 0) - straight) < 1e-9)
    return [{ fromMs, toMs, limit, toLimit }];
  return [
    ...straightPieces({ fromMs, toMs: middleMs }, at),
    ...straightPieces({ fromMs: middleMs, toMs }, at),
  ];
}

function signed(record: ProbeRecord, sign: 1 | -1): ProbeRecord {
  return sign === 1 ? record : { timesMs: record.timesMs, values: record.values.map((value) => -value) };
}
