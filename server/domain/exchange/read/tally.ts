import type { RepeatedHour } from '../../../../shared/model/import-mapping.ts';
import type { BadRow, ImportReport } from '../../../../shared/wire/exchange.ts';
import type { FileItem } from './file-reader.ts';

/** Most bad rows, and lines of a repeated hour, that are listed; all are counted. */
export const MAX_LISTED = 100;

export type Outcome = 'stored' | 'repeat' | 'conflict';

type Counted = Pick<
  ImportReport,
  'rows' | 'readings' | 'stored' | 'repeats' | 'conflicts' | 'from' | 'to' | 'bad' | 'repeatedHour' | 'probes'
>;

/** Counts what a file holds and what became of it, row by row and reading by reading, in bounded memory. */
export class Tally {
  rows = 0;
  stored = 0;
  newProbes = 0;
  readonly probes = new Map<string, { readonly unit: string; readings: number; readonly isNew: boolean }>();
  readonly #isNew: (probe: string) => boolean;
  readonly #bad: BadRow[] = [];
  readonly #repeatedLines: number[] = [];
  readonly #counts = { bad: 0, repeated: 0, readings: 0, repeats: 0, conflicts: 0 };
  #span: { fromMs: number; toMs: number } | null = null;

  /** @param isNew says whether the device has no probe of that name yet */
  constructor(isNew: (probe: string) => boolean) {
    this.#isNew = isNew;
  }

  row(item: FileItem): void {
    this.rows++;
    if (item.kind === 'bad') this.#badRow(item);
    if (item.kind === 'asks' || (item.kind === 'readings' && item.repeated)) this.#repeated(item.line);
    if (item.kind !== 'readings') return;
    for (const { probe, unit, tMs } of item.readings) {
      this.#counts.readings++;
      const known = this.probes.get(probe);
      if (known) known.readings++;
      else this.#probe(probe, unit);
      const { fromMs, toMs } = this.#span ?? { fromMs: tMs, toMs: tMs };
      this.#span = { fromMs: Math.min(fromMs, tMs), toMs: Math.max(toMs, tMs) };
    }
  }

  outcome(outcome: Outcome): void {
    if (outcome === 'stored') this.stored++;
    else this.#counts[outcome === 'repeat' ? 'repeats' : 'conflicts']++;
  }

  counted(taken: RepeatedHour | null): Counted {
    const { bad, repeated, readings, repeats, conflicts } = this.#counts;
    return {
      rows: this.rows,
      readings,
      stored: this.stored,
      repeats,
      conflicts,
      from: isoOf(this.#span?.fromMs),
      to: isoOf(this.#span?.toMs),
      bad: { count: bad, listed: this.#bad },
      repeatedHour: { rows: repeated, lines: this.#repeatedLines, taken },
      probes: [...this.probes].map(([probe, counts]) => ({ probe, ...counts })),
    };
  }

  #badRow({ line, reason }: BadRow): void {
    this.#counts.bad++;
    if (this.#bad.length < MAX_LISTED) this.#bad.push({ line, reason });
  }

  #probe(probe: string, unit: string | null): void {
    const isNew = this.#isNew(probe);
    if (isNew) this.newProbes++;
    this.probes.set(probe, { unit: unit ?? '', readings: 1, isNew });
  }

  #repeated(line: number): void {
    this.#counts.repeated++;
    if (this.#repeatedLines.length < MAX_LISTED) this.#repeatedLines.push(line);
  }
}

function isoOf(tMs: number | undefined): string | null {
  return tMs === undefined ? null : new Date(tMs).toISOString();
}
