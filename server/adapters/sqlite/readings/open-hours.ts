import type { ProbeRecord } from '../../../../shared/exposure/series.ts';
import { mergeLate } from '../../../domain/seal/merge.ts';
import type { AppendResult } from '../../../ports.ts';

export const HOUR_MS = 3_600_000;

/** The hour a time falls in, hours since 1970. */
export function hourOf(tMs: number): number {
  return Math.floor(tMs / HOUR_MS);
}

/** Sealing so many takes some 10 ms, twice that on a busy core; an hour at one reading a second holds 3,600. */
const MOST_READINGS_AT_ONCE = 10_000;

type Hour = { readonly timesMs: number[]; readonly values: number[] };

/** The readings that are not sealed yet, by probe and hour, each hour in the order of its times. */
export class OpenHours {
  readonly #probes = new Map<number, Map<number, Hour>>();
  #count = 0;

  get count(): number {
    return this.#count;
  }

  /** Puts a reading where its time belongs; the first value at a time stays. */
  put({ probeId, tMs, value }: { probeId: number; tMs: number; value: number }): AppendResult {
    const hour = this.#hour(probeId, hourOf(tMs));
    const at = placeOf(hour.timesMs, tMs);
    if (hour.timesMs[at] === tMs) return hour.values[at] === value ? 'repeat' : 'conflict';
    if (at === hour.timesMs.length) {
      hour.timesMs.push(tMs);
      hour.values.push(value);
    } else {
      hour.timesMs.splice(at, 0, tMs);
      hour.values.splice(at, 0, value);
    }
    this.#count++;
    return 'stored';
  }

  /** The readings of one hour, or null when it has none here. */
  hour(probeId: number, hour: number): ProbeRecord | null {
    const found = this.#probes.get(probeId)?.get(hour);
    if (!found || found.timesMs.length === 0) return null;
    return { timesMs: Float64Array.from(found.timesMs), values: Float64Array.from(found.values) };
  }

  /** The newest reading of a probe here, or null; asked too often to copy an hour for it. */
  newest(probeId: number): { readonly tMs: number; readonly value: number } | null {
    const hours = this.#probes.get(probeId);
    const found = hours?.get(last(hours));
    const [tMs, value] = [found?.timesMs.at(-1), found?.values.at(-1)];
    return tMs === undefined || value === undefined ? null : { tMs, value };
  }

  /** Time of the oldest reading of a probe here, or null. */
  oldestMs(probeId: number): number | null {
    const hours = this.#probes.get(probeId);
    return hours?.get(first(hours))?.timesMs[0] ?? null;
  }

  /** Hours of a probe that have readings here, ascending. */
  hoursOf(probeId: number): number[] {
    return [...(this.#probes.get(probeId)?.keys() ?? [])].sort((a, b) => a - b);
  }

  /** Up to `limit` hours that ended before the given one, of any probe, and no more once they hold so many readings. */
  before(hour: number, limit: number): { probeId: number; hour: number }[] {
    const closed: { probeId: number; hour: number }[] = [];
    let readings = 0;
    for (const [probeId, hours] of this.#probes) {
      for (const [each, { timesMs }] of hours) {
        if (each >= hour) continue;
        if (closed.length === limit || readings >= MOST_READINGS_AT_ONCE) return closed;
        closed.push({ probeId, hour: each });
        readings += timesMs.length;
      }
    }
    return closed;
  }

  /** Forgets an hour that is sealed now. */
  drop({ probeId, hour }: { probeId: number; hour: number }): void {
    this.#count -= this.#probes.get(probeId)?.get(hour)?.timesMs.length ?? 0;
    this.#forget(probeId, hour);
  }

  /** Forgets whatever is here of a probe. */
  forget(probeId: number): void {
    for (const hour of this.hoursOf(probeId)) this.drop({ probeId, hour });
  }

  #hour(probeId: number, hour: number): Hour {
    let hours = this.#probes.get(probeId);
    if (!hours) {
      hours = new Map();
      this.#probes.set(probeId, hours);
    }
    let found = hours.get(hour);
    if (!found) {
      found = { timesMs: [], values: [] };
      hours.set(hour, found);
    }
    return found;
  }

  #forget(probeId: number, hour: number): void {
    const hours = this.#probes.get(probeId);
    hours?.delete(hour);
    if (hours?.size === 0) this.#probes.delete(probeId);
  }
}

/** The last and the first hour; late readings may lie in more hours than a function takes arguments. */
function last(hours: ReadonlyMap<number, Hour>): number {
  let found = Number.NEGATIVE_INFINITY;
  for (const hour of hours.keys()) if (hour > found) found = hour;
  return found;
}

function first(hours: ReadonlyMap<number, Hour>): number {
  let found = Number.POSITIVE_INFINITY;
  for (const hour of hours.keys()) if (hour < found) found = hour;
  return found;
}

/** A sealed hour with the late readings that are not in it yet. */
export function withOpen(sealed: ProbeRecord, open: ProbeRecord | null): ProbeRecord {
  if (!open) return sealed;
  const late = Array.from(open.timesMs, (tMs, i) => ({ tMs, value: open.values[i] as number }));
  return mergeLate(sealed, late).record;
}

/** Where a time stands, or would stand, in ascending times; the newest is checked first. */
function placeOf(timesMs: readonly number[], tMs: number): number {
  let high = timesMs.length;
  if (high === 0 || tMs > (timesMs[high - 1] as number)) return high;
  let low = 0;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((timesMs[middle] as number) < tMs) low = middle + 1;
    else high = middle;
  }
  return low;
}
