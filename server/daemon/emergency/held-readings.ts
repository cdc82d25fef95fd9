import type { Reading } from '../../../shared/model/probes/probe.ts';
import type { AppendResult } from '../../ports.ts';

/** Most readings that are held in all; beyond it a probe's oldest makes room for its next. About 3 MB. */
const MOST_HELD = 100_000;

type Held = { timesMs: number[]; values: number[] };

/** Readings that were judged and are not on disk, by probe, in the order of time. */
export class HeldReadings {
  readonly #probes = new Map<number, Held>();
  #count = 0;
  /** those of the transaction under way */
  #fresh: Reading[] = [];

  append(reading: Reading): AppendResult {
    const { probeId, tMs, value } = reading;
    const held = this.#of(probeId);
    const at = held.timesMs.findLastIndex((known) => known <= tMs);
    if (held.timesMs[at] === tMs) return held.values[at] === value ? 'repeat' : 'conflict';
    held.timesMs.splice(at + 1, 0, tMs);
    held.values.splice(at + 1, 0, value);
    this.#count++;
    this.#fresh.push(reading);
    if (this.#count > MOST_HELD) this.#takeOut(held, 0);
    return 'stored';
  }

  /** A transaction was committed. */
  settle(): void {
    this.#fresh = [];
  }

  /** A transaction was rolled back. */
  undo(): void {
    for (const { probeId, tMs } of this.#fresh) {
      const held = this.#of(probeId);
      const at = held.timesMs.lastIndexOf(tMs);
      if (at >= 0) this.#takeOut(held, at);
    }
    this.#fresh = [];
  }

  within(probeId: number, { fromMs, toMs }: { fromMs: number; toMs: number }): Reading[] {
    const { timesMs, values } = this.#probes.get(probeId) ?? { timesMs: [], values: [] };
    return timesMs.flatMap((tMs, i) =>
      tMs >= fromMs && tMs <= toMs ? [{ probeId, tMs, value: values[i] as number }] : [],
    );
  }

  newest(probeId: number): Reading | null {
    const held = this.#probes.get(probeId);
    const [tMs, value] = [held?.timesMs.at(-1), held?.values.at(-1)];
    return tMs === undefined || value === undefined ? null : { probeId, tMs, value };
  }

  all(): Reading[] {
    const everything = { fromMs: Number.NEGATIVE_INFINITY, toMs: Number.POSITIVE_INFINITY };
    return [...this.#probes.keys()].flatMap((probeId) => this.within(probeId, everything));
  }

  #of(probeId: number): Held {
    const held = this.#probes.get(probeId) ?? { timesMs: [], values: [] };
    this.#probes.set(probeId, held);
    return held;
  }

  #takeOut(held: Held, at: number): void {
    held.timesMs.splice(at, 1);
    held.values.splice(at, 1);
    this.#count--;
  }
}
