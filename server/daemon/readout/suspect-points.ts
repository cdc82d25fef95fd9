import { probeRecord } from '../../../shared/exposure/series.ts';
import type { Place } from '../../../shared/model/place.ts';
import { FINDINGS, type Finding } from '../../../shared/model/probes/finding.ts';
import type { Series } from '../../../shared/wire/http.ts';
import type { LeftOutReading } from '../../../shared/wire/probes/finding.ts';
import { ingredientsOf } from '../../domain/exposures/curves.ts';
import { isTemperature, leftOutOf } from '../../domain/probes/left-out.ts';
import type { Span } from '../../ports.ts';
import { baseQuantity, type RecordContext } from '../world/records.ts';

/** Most readings listed as left out, the newest. */
const MOST_LEFT_OUT = 200;
/** Over a longer span they are not listed; they show among the findings, ms. */
const LONGEST_LISTED_MS = 8 * 86_400_000;

/**
 * A series as it is sent: points in whose time a probe of it was suspect are marked, and what was sent but is no
 * measurement is listed.
 */
export function withSuspects(
  series: Series,
  asked: { place: Place; span: Span; points: number | null; findings: readonly Finding[] },
  context: RecordContext,
): Series {
  const { place, span, findings } = asked;
  const names = ingredientsOf(series.quantity);
  const leftOut = leftOutIn(place, { span, names }, context);
  const spans = findings
    .filter(({ quantity, finding }) => !FINDINGS[finding].leftOut && names.some((name) => name === quantity))
    .flatMap((finding) => finding.spans);
  const halfMs = asked.points === null ? 0 : (span.toMs - span.fromMs) / asked.points / 2;
  const points =
    spans.length === 0 ? series.points : series.points.map((point) => marked(point, { spans, halfMs }));
  if (leftOut.length === 0) return { ...series, points };
  // every stored time was asked for: what is no measurement stands among them, marked
  return { ...series, points: asked.points === null ? withLeftOut(points, leftOut) : points, leftOut };
}

function withLeftOut(points: readonly Point[], leftOut: readonly LeftOutReading[]): Point[] {
  const marks = leftOut.map(({ t, value }): Point => ({ t, value, min: value, max: value, suspect: true }));
  return [...points, ...marks].toSorted((a, b) => Date.parse(a.t) - Date.parse(b.t));
}

type Point = Series['points'][number];

/** @param about.halfMs half the time a point stands for, 0 for a reading */
function marked(point: Point, { spans, halfMs }: { spans: readonly Span[]; halfMs: number }): Point {
  const tMs = Date.parse(point.t);
  const covered = spans.some(({ fromMs, toMs }) => fromMs <= tMs + halfMs && toMs >= tMs - halfMs);
  return covered && point.value !== null ? { ...point, suspect: true } : point;
}

function leftOutIn(
  place: Place,
  { span, names }: { span: Span; names: readonly string[] },
  { world, store }: RecordContext,
): LeftOutReading[] {
  if (span.toMs - span.fromMs > LONGEST_LISTED_MS || !names.some(isTemperature)) return [];
  const { maxGapMs } = place.settings;
  const probes = world.probesOf(place.id).filter((probe) => {
    const quantity = baseQuantity(probe);
    return quantity !== null && isTemperature(quantity) && names.includes(quantity);
  });
  const wide = { fromMs: span.fromMs - maxGapMs, toMs: span.toMs + maxGapMs };
  const window = store.journal.window({ probeIds: probes.map(({ id }) => id), ...wide });
  const found = window.flatMap(({ probeId, ...readings }) => {
    const probe = probes.find(({ id }) => id === probeId);
    if (!probe) return [];
    const record = probeRecord(readings);
    return leftOutOf(record, { quantity: baseQuantity(probe), maxGapMs }).map(({ index, kind }) => ({
      tMs: record.timesMs[index] as number,
      value: record.values[index] as number,
      probe: `${probe.device}/${probe.name}`,
      finding: kind,
    }));
  });
  return found
    .filter(({ tMs }) => tMs >= span.fromMs && tMs <= span.toMs)
    .toSorted((a, b) => a.tMs - b.tMs)
    .slice(-MOST_LEFT_OUT)
    .map(({ tMs, ...reading }) => ({ t: new Date(tMs).toISOString(), ...reading }));
}
