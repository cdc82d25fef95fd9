import { anyOf } from '../../../shared/exposure/intersect.ts';
import type { ProbeRecord, Window } from '../../../shared/exposure/series.ts';
import type { Pulse } from './pulse.ts';

/** A valve reading at or above this is open. */
const OPEN_FROM = 0.5;

/**
 * The mist pulses of a valve record: from a reading that says open to the next that says shut.
 *
 * Assumes that edges are recorded when they happen: a valve that is only sampled shows few of its short pulses. A
 * reading holds until the next, and never beyond the longest gap; a valve still open at a gap has an unknown end
 * (`toMs` null), and one found open after a gap starts a new pulse there. Pulses of several valves that overlap are
 * one. Covered is the time in which any valve is known.
 * @param records `mist/valve` readings, 0 shut, 1 open
 * @param options.maxGapMs longest time a reading holds, ms, > 0
 * @returns pulses by their start, and the covered time
 * @example valvePulses([probeRecord({ timesMs: [0, 8000], values: [1, 0] })], { maxGapMs: 900_000 }).pulses // 0 to 8000 ms
 */
export function valvePulses(
  records: readonly ProbeRecord[],
  options: { readonly maxGapMs: number },
): { readonly pulses: Pulse[]; readonly covered: Window[] } {
  const each = records.map((record) => ofOne(record, options.maxGapMs));
  const covered = anyOf(each.map((one) => one.covered));
  const [only] = each;
  const pulses = each.length === 1 && only ? only.pulses : overlapping(each.flatMap((one) => one.pulses));
  return { pulses, covered };
}

function ofOne({ timesMs, values }: ProbeRecord, maxGapMs: number) {
  const pulses: Pulse[] = [];
  const covered: Window[] = [];
  let openedMs: number | null = null;
  let stretchMs = timesMs[0] ?? 0;
  const close = (toMs: number | null) => {
    if (openedMs !== null) pulses.push({ fromMs: openedMs, toMs, how: 'valve' });
    openedMs = null;
  };
  for (let i = 0; i < timesMs.length; i++) {
    const atMs = timesMs[i] as number;
    if ((values[i] as number) < OPEN_FROM) close(atMs);
    else openedMs ??= atMs;
    const nextMs = timesMs[i + 1];
    if (nextMs !== undefined && nextMs - atMs <= maxGapMs) continue;
    close(null);
    if (atMs > stretchMs) covered.push({ fromMs: stretchMs, toMs: atMs });
    stretchMs = nextMs ?? atMs;
  }
  return { pulses, covered };
}

function overlapping(pulses: readonly Pulse[]): Pulse[] {
  const out: Pulse[] = [];
  for (const pulse of [...pulses].sort((a, b) => a.fromMs - b.fromMs)) {
    const last = out.at(-1);
    if (last && pulse.fromMs <= (last.toMs ?? last.fromMs)) out[out.length - 1] = joined(last, pulse);
    else out.push(pulse);
  }
  return out;
}

function joined(first: Pulse, second: Pulse): Pulse {
  const toMs = first.toMs === null || second.toMs === null ? null : Math.max(first.toMs, second.toMs);
  return { ...first, toMs };
}
