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

/** Where a limit is a time itself, what is past it is counted in hours, not in hours times hours. */
export function harmIn({ unit }: Pick<LimitRuleDefinition, 'unit'>): PastAnswer['harmIn'] {
  return unit === 'min' || unit === 'h' ? 'hours' : 'unit-hours';
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
  const pieces = own.map(({ limit, ...piece }) => ({
    ...piece,
    limit: limit === null ? null : sign * limit,
  }));
  const segments = sources.map(({ timesMs, values }) =>
    segmentsOf(signed({ timesMs, values }, sign), { maxGapMs }),
  );
  const inHours = harmIn(definition) === 'hours';
  const inWindow = (one: Segments, window: Span): Harm => {
    const touched = pieces.filter(({ fromMs, toMs }) => fromMs < window.toMs && toMs > window.fromMs);
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

function signed(record: ProbeRecord, sign: 1 | -1): ProbeRecord {
  return sign === 1 ? record : { timesMs: record.timesMs, values: record.values.map((value) => -value) };
}
