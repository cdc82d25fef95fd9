import { DEFAULT_MAX_GAP_MS } from '../../../../shared/exposure/coverage.ts';
import type { ProbeRecord } from '../../../../shared/exposure/series.ts';
import type { Reading } from '../../../../shared/model/probes/probe.ts';
import { type Minutes, rollUp } from '../../../domain/seal/minutes.ts';
import { summaryOf } from '../../../domain/seal/summary.ts';
import type { AppendResult, HourSummary, ProbeTimes } from '../../../ports.ts';
import { HOUR_MS, hourOf, type OpenHours, withOpen } from './open-hours.ts';
import type { SealedHours } from './sealed.ts';

/** Where readings are: sealed, or open. Whoever reads need not know. */
export type Both = { readonly sealed: SealedHours; readonly open: OpenHours };

/** The newest reading of a probe, or of those not later than a time. */
export function latestIn(both: Both, probeId: number, notAfterMs = Number.POSITIVE_INFINITY): Reading | null {
  const newest = newestIn(both, probeId);
  return newest === null || newest.tMs <= notAfterMs ? newest : newestUpTo(both, { probeId, notAfterMs });
}

/** The same where there are later ones: dated by a clock that was ahead. */
function newestUpTo(
  both: Both,
  { probeId, notAfterMs }: { probeId: number; notAfterMs: number },
): Reading | null {
  const hour = hourOf(notAfterMs);
  // the hour of the time itself may hold later ones alone
  const hours = [hour, hour - 1].flatMap((each) => both.sealed.upTo(probeId, each)?.hour ?? []);
  const open = both.open.hoursOf(probeId).filter((each) => each <= hour);
  const inOrder = [...new Set([...hours, ...open])].sort((a, b) => b - a);
  for (const each of inOrder) {
    const span = { fromMs: each * HOUR_MS, toMs: Math.min(notAfterMs, (each + 1) * HOUR_MS - 1) };
    const { timesMs, values } = readWindow({ probeId, orMinutes: true, ...span }, both);
    const [tMs, value] = [timesMs.at(-1), values.at(-1)];
    if (tMs !== undefined && value !== undefined) return { probeId, tMs, value };
  }
  return null;
}

function newestIn({ sealed, open }: Both, probeId: number): Reading | null {
  const last = open.newest(probeId);
  const newest = sealed.newest(probeId);
  if (newest && newest.lastMs > (last?.tMs ?? Number.NEGATIVE_INFINITY))
    return { probeId, tMs: newest.lastMs, value: newest.lastValue };
  return last && { probeId, ...last };
}

/** Time of the oldest reading of any of the probes. */
export function oldestIn({ sealed, open }: Both, probeIds: readonly number[]): number | null {
  const firsts = probeIds.flatMap((probeId) =>
    [sealed.oldest(probeId)?.firstMs, open.oldestMs(probeId)].filter((ms) => typeof ms === 'number'),
  );
  return firsts.length === 0 ? null : Math.min(...firsts);
}

/** What each hour of a probe in a span comes to. */
export function hoursIn(
  { sealed, open }: Both,
  { probeId, fromMs, toMs }: { probeId: number; fromMs: number; toMs: number },
): HourSummary[] {
  const [first, last] = [hourOf(fromMs), hourOf(toMs - 1)];
  const hours = new Map(sealed.summaries(probeId, { first, last }).map((each) => [each.hour, each]));
  for (const hour of open.hoursOf(probeId).filter((each) => each >= first && each <= last)) {
    const known = sealed.hour(probeId, hour);
    const late = open.hour(probeId, hour);
    if (!late) continue;
    const record = known ? withOpen(known, late) : late;
    hours.set(hour, { hour, ...summaryOf(record, { maxGapMs: DEFAULT_MAX_GAP_MS }) });
  }
  return [...hours.values()].sort((a, b) => a.hour - b.hour);
}

/** Whether a record knows a reading already; null where it has nothing at that time. */
export function inRecord(record: ProbeRecord | null, { tMs, value }: Reading): AppendResult | null {
  if (!record) return null;
  let [low, high] = [0, record.timesMs.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((record.timesMs[middle] as number) < tMs) low = middle + 1;
    else high = middle;
  }
  if (record.timesMs[low] !== tMs) return null;
  return record.values[low] === value ? 'repeat' : 'conflict';
}

type Window = {
  readonly probeId: number;
  readonly fromMs: number;
  readonly toMs: number;
  readonly orMinutes: boolean;
};

/** The minutes of a probe's hours that touch a span, ascending. */
export function minutesIn(
  { sealed, open }: Both,
  { probeId, fromMs, toMs }: Omit<Window, 'orMinutes'>,
): Minutes {
  const [first, last] = [hourOf(fromMs), hourOf(toMs - 1)];
  const hours = new Map(sealed.minutes(probeId, { first, last }).map(({ hour, minutes }) => [hour, minutes]));
  for (const hour of open.hoursOf(probeId).filter((each) => each >= first && each <= last)) {
    const late = open.hour(probeId, hour);
    const known = sealed.hour(probeId, hour);
    if (late) hours.set(hour, rollUp(known ? withOpen(known, late) : late));
  }
  const inOrder = [...hours].sort(([a], [b]) => a - b).map(([, minutes]) => minutes);
  const column = (of: keyof Minutes) => {
    const whole = new Float64Array(inOrder.reduce((sum, { timesMs }) => sum + timesMs.length, 0));
    let at = 0;
    for (const minutes of inOrder) {
      whole.set(minutes[of], at);
      at += minutes[of].length;
    }
    return whole;
  };
  return { timesMs: column('timesMs'), means: column('means'), mins: column('mins'), maxs: column('maxs') };
}

/** The readings of a probe in a span, both ends included. */
export function readWindow(
  { probeId, fromMs, toMs, orMinutes }: Window,
  { sealed, open }: Both,
): Omit<ProbeTimes, 'probeId'> {
  const [first, last] = [hourOf(fromMs), hourOf(toMs)];
  let record = sealed.read(probeId, { first, last, orMinutes });
  const parts = open.hoursOf(probeId).filter((hour) => hour >= first && hour <= last);
  const late = joined(parts.map((hour) => open.hour(probeId, hour)).filter((hour) => hour !== null));
  const sealedUntil = record.timesMs.at(-1) ?? Number.NEGATIVE_INFINITY;
  if ((late.timesMs[0] ?? Number.POSITIVE_INFINITY) > sealedUntil) record = joined([record, late]);
  else record = withOpen(record, late);
  return between(record, { fromMs, toMs });
}

function joined(records: readonly ProbeRecord[]): ProbeRecord {
  const [only] = records;
  if (records.length === 1 && only) return only;
  const count = records.reduce((sum, { timesMs }) => sum + timesMs.length, 0);
  const whole = { timesMs: new Float64Array(count), values: new Float64Array(count) };
  let at = 0;
  for (const { timesMs, values } of records) {
    whole.timesMs.set(timesMs, at);
    whole.values.set(values, at);
    at += timesMs.length;
  }
  return whole;
}

function between(
  { timesMs, values }: ProbeRecord,
  { fromMs, toMs }: { fromMs: number; toMs: number },
): ProbeRecord {
  const start = lowerBound(timesMs, fromMs);
  const end = lowerBound(timesMs, toMs + 0.5);
  return { timesMs: timesMs.subarray(start, end), values: values.subarray(start, end) };
}

function lowerBound(timesMs: Float64Array, tMs: number): number {
  let [low, high] = [0, timesMs.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((timesMs[middle] as number) < tMs) low = middle + 1;
    else high = middle;
  }
  return low;
}
