import { type ProbeRecord, probeRecord } from '../../../shared/exposure/series.ts';
import type { Place } from '../../../shared/model/place.ts';
import type { Probe } from '../../../shared/model/probes/probe.ts';
import { PROBE_QUANTITIES, type ProbeQuantityName } from '../../../shared/quantities.ts';
import type { Sky } from '../../domain/calendar/nights.ts';
import { targetSpans } from '../../domain/calendar/spans.ts';
import { curveOf, ingredientsOf, type RecordsByQuantity } from '../../domain/exposures/curves.ts';
import { fetchMarginMs } from '../../domain/exposures/exposures.ts';
import type { ExposureQuestion } from '../../domain/exposures/question.ts';
import { withoutLeftOut } from '../../domain/probes/left-out.ts';
import type { Span, Store } from '../../ports.ts';
import type { World } from './world.ts';

/** Where records are read from, and by which clock days are counted. */
export type RecordContext = { readonly world: World; readonly store: Store; readonly timeZone: string };

/** What a probe measures, when its name is well known. */
export function baseQuantity(probe: Probe): ProbeQuantityName | null {
  return probe.quantity !== null && probe.quantity in PROBE_QUANTITIES
    ? (probe.quantity as ProbeQuantityName)
    : null;
}

/** What the place has probes for, without their readings. */
export function measuredAt(place: Place, { world }: RecordContext): RecordsByQuantity {
  const quantities = world.probesOf(place.id).map(baseQuantity);
  return Object.fromEntries(quantities.filter((name) => name !== null).map((name) => [name, []]));
}

/**
 * The records of a place's probes over a span, with the margin its edges need, by what they measure; without readings
 * that are no measurement. Where readings were dropped for their age, one a minute with its mean stands in.
 * With `notAfterMs` nothing rests on what was read after it, ms since epoch.
 */
export function recordsOf(
  place: Place,
  span: Span,
  names: readonly ProbeQuantityName[],
  context: Pick<RecordContext, 'world' | 'store'>,
  { notAfterMs = Number.POSITIVE_INFINITY }: { readonly notAfterMs?: number } = {},
) {
  const wanted = context.world.probesOf(place.id).filter((probe) => {
    const quantity = baseQuantity(probe);
    return quantity !== null && names.includes(quantity);
  });
  const marginMs = fetchMarginMs(place.settings);
  const window = context.store.journal.window({
    probeIds: wanted.map((probe) => probe.id),
    fromMs: span.fromMs - marginMs,
    toMs: Math.min(span.toMs + marginMs, notAfterMs),
    orMinutes: true,
  });
  const records: Partial<Record<ProbeQuantityName, ProbeRecord[]>> = {};
  for (const probe of wanted) records[baseQuantity(probe) as ProbeQuantityName] = [];
  for (const { probeId, ...readings } of window) {
    const quantity = wanted.find((probe) => probe.id === probeId)?.quantity as ProbeQuantityName;
    const measured = withoutLeftOut(probeRecord(readings), { quantity, maxGapMs: place.settings.maxGapMs });
    records[quantity] = [...(records[quantity] ?? []), measured];
  }
  return records satisfies RecordsByQuantity;
}

/** The targets of a place over a span, resolved to instants. */
export function spansOf(place: Place, span: Span, context: RecordContext) {
  const { world, timeZone } = context;
  return targetSpans({
    history: world.history(place.id),
    ...span,
    zone: timeZone,
    sky: skyOf(place, context),
  });
}

/** The sky as the place knows it; its light is read only where the targets go by light. */
export function skyOf(place: Place, context: RecordContext): Sky {
  return {
    at: place.settings.coordinates,
    ppfd: (span) => {
      const records = recordsOf(place, span, ingredientsOf('ppfdUmolM2S'), context);
      return curveOf('ppfdUmolM2S', { records, settings: place.settings }).segments;
    },
  };
}

const ALL_QUANTITIES = Object.keys(PROBE_QUANTITIES) as ProbeQuantityName[];

/** All that the exposures of a place over a span are counted from. */
export function exposureQuestion(place: Place, span: Span, context: RecordContext): ExposureQuestion {
  return {
    placeId: place.id,
    ...span,
    records: recordsOf(place, span, ALL_QUANTITIES, context),
    settings: place.settings,
    spans: spansOf(place, span, context),
    timeZone: context.timeZone,
  };
}
