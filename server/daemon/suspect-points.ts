import { probeRecord } from '../../shared/exposure/series.ts';
import type { Finding } from '../../shared/model/finding.ts';
import type { Place } from '../../shared/model/place.ts';
import type { LeftOutReading } from '../../shared/wire/finding.ts';
import type { Series } from '../../shared/wire/http.ts';
import { INGREDIENTS } from '../domain/exposures/curves.ts';
import { isTemperature, leftOutOf } from '../domain/probes/left-out.ts';
import type { Span } from '../ports.ts';
import { baseQuantity, type RecordContext } from './records.ts';

/** Most readings listed as left out, the newest. */
const MOST_LEFT_OUT = 200;
/** Over a longer span they are not listed; they show among the findings, ms. */
const LONGEST_LISTED_MS = 8 * 86_400_000;

/**
 * A series as it is told: points that a finding about one of its probes covers are marked, and what was sent but is no
 * measurement is listed.
 */
export function withSuspects(
  series: Series,
  { place, span, findings }: { place: Place; span: Span; findings: readonly Finding[] },
  context: RecordContext,
): Series {
  const names = INGREDIENTS[series.quantity];
  const leftOut = leftOutIn(place, { span, names }, context);
  const about = findings.filter(({ quantity }) => names.some((name) => name === quantity));
  const points = about.length === 0 ? series.points : series.points.map((point) => marked(point, about));
  return { ...series, points, ...(leftOut.length === 0 ? {} : { leftOut }) };
}

function marked(point: Series['points'][number], about: readonly Finding[]): Series['points'][number] {
  const tMs = Date.parse(point.t);
  const covered = about.some(
    ({ sinceMs, untilMs }) => sinceMs <= tMs && tMs <= (untilMs ?? Number.POSITIVE_INFINITY),
  );
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
