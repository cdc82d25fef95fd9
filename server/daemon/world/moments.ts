import { LX_PER_UMOL } from '../../../shared/climate/light.ts';
import type { Place } from '../../../shared/model/place.ts';
import type { Moment } from '../../../shared/rules/rules.ts';
import { lightSteps } from '../../domain/alarms/light-steps.ts';
import { IN_LIGHT_PPFD, ppfdOf } from '../../domain/alarms/signals.ts';
import { type BandMove, dayShareAt } from '../../domain/calendar/ramp.ts';
import type { RecordsByQuantity } from '../../domain/exposures/curves.ts';
import type { Span } from '../../ports.ts';
import { type RecordContext, spansOf } from './records.ts';

/** A stretch of time through which the same limit holds, or moves with its band. */
export type MomentSpan = Span & Omit<Moment, 'dayShare'> & { readonly move: BandMove | null };

type Over = { readonly place: Place; readonly span: Span; readonly records: RecordsByQuantity };

/** What held when at a place: targets, night, and light as far as records of light are given; contiguous. */
export function momentSpans({ place, span, records }: Over, context: RecordContext): MomentSpan[] {
  const { maxGapMs, lightSource } = place.settings;
  const light = (['light/ppfd', 'light/illuminance'] as const).flatMap((quantity) =>
    (records[quantity] ?? []).map(({ timesMs, values }) => ({
      timesMs,
      values: values.map((value) => ppfdOf({ quantity, value }, LX_PER_UMOL[lightSource])),
    })),
  );
  const steps = lightSteps(light, { span, maxGapMs, lightFrom: IN_LIGHT_PPFD });
  let first = 0;
  return spansOf(place, span, context).flatMap(({ targets, night, move, fromMs, toMs }) => {
    while (first < steps.length && (steps[first]?.toMs ?? 0) <= fromMs) first += 1;
    const within: MomentSpan[] = [];
    for (let i = first; i < steps.length && (steps[i]?.fromMs ?? 0) < toMs; i += 1) {
      const step = steps[i];
      if (!step) break;
      within.push({
        fromMs: Math.max(fromMs, step.fromMs),
        toMs: Math.min(toMs, step.toMs),
        targets,
        night,
        move,
        light: step.light ?? !night,
      });
    }
    return within;
  });
}

/** What holds at a moment of a stretch. */
export function momentAt(span: MomentSpan, tMs: number): Moment {
  const { targets, night, light } = span;
  return { targets, night, light, dayShare: dayShareAt(span, tMs) };
}

/** Reads contiguous stretches at times that only grow; the first holds before its start too. */
export function readingMoments(spans: readonly MomentSpan[]): (tMs: number) => Moment {
  let at = 0;
  return (tMs) => {
    while (at < spans.length - 1 && tMs >= (spans[at] as MomentSpan).toMs) at += 1;
    return momentAt(spans[at] as MomentSpan, tMs);
  };
}

/** What held at a moment of a span, asked at times that only grow. */
export function momentReader(over: Over, context: RecordContext): (tMs: number) => Moment {
  return readingMoments(momentSpans(over, context));
}
