import { SETTLED_MS } from '../../../shared/rules/rule.ts';
import type { Store } from '../../ports.ts';

/** A place that has reported so many times is expected to go on. Proposal. */
const REPORTED_TIMES = 3;

type OfPlace = { readonly placeId: string; readonly probeIds: readonly number[]; readonly newestMs: number };

/** How long places have been on record, as far as it matters: asked of the record in their first minutes alone. */
export class FirstMinutes {
  readonly #settled = new Set<string>();
  readonly #reported = new Set<string>();
  readonly #journal: Store['journal'];

  constructor({ journal }: Pick<Store, 'journal'>) {
    this.#journal = journal;
  }

  forget(): void {
    this.#settled.clear();
    this.#reported.clear();
  }

  isSettled(placeId: string): boolean {
    return this.#settled.has(placeId);
  }

  isReporting(placeId: string): boolean {
    return this.#reported.has(placeId);
  }

  /** From when on every rule may raise an alarm, ms since epoch; 0 where the place has been on record for longer. */
  settledFromMs({ placeId, probeIds, newestMs }: OfPlace): number {
    const oldestMs = this.#journal.oldestMs(probeIds);
    // not kept, or judged by a clock that is behind the record: nothing is known to be new
    if (oldestMs === null || oldestMs > newestMs) return 0;
    const fromMs = oldestMs + SETTLED_MS;
    if (newestMs >= fromMs) this.#settled.add(placeId);
    return fromMs;
  }

  /** Whether a place has reported for ten minutes, or three times: before that its next reading is only waited for. */
  hasReported(of: OfPlace): boolean {
    const { placeId, probeIds, newestMs } = of;
    const oldestMs = this.#journal.oldestMs(probeIds);
    if (oldestMs === null) return false;
    if (oldestMs > newestMs) return true;
    const has =
      newestMs - oldestMs >= SETTLED_MS || this.#times(probeIds, { fromMs: oldestMs, toMs: newestMs });
    if (has) this.#reported.add(placeId);
    return has;
  }

  #times(probeIds: readonly number[], span: { fromMs: number; toMs: number }): boolean {
    const found = this.#journal.window({ probeIds, ...span });
    return new Set(found.flatMap(({ timesMs }) => [...timesMs])).size >= REPORTED_TIMES;
  }
}
