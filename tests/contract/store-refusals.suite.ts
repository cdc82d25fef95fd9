import { expect, test } from 'vitest';
import { MAX_REFUSED_BYTES, MAX_REFUSED_KEPT } from '../../server/adapters/sqlite/tables/refusals.ts';
import type { NewRefusal } from '../../server/ports.ts';
import type { Opened } from './opened.ts';

const REFUSAL: NewRefusal = {
  atMs: Date.UTC(2026, 5, 1, 10),
  code: 'not-json',
  reason: 'cut off',
  pointer: '/0',
  device: 'bench-1',
  topic: 'strikewell/1/bench-1/readings',
  bytes: 3,
  payload: '[{"',
};

/**
 * What a store promises about refused packs.
 *
 * @param opened the store
 */
export function refusalsContract({ store, reopen }: Opened): void {
  const keep = (refusal: Partial<NewRefusal> = {}) => store().refusals.keep({ ...REFUSAL, ...refusal });

  test('a refused pack comes back whole, with its time in UTC', () => {
    keep();
    const { atMs: _atMs, ...rest } = REFUSAL;
    expect(reopen().refusals.newest(9)).toEqual([{ ...rest, id: 1, time: '2026-06-01T10:00:00.000Z' }]);
  });

  test('the newest 2 of 3 come newest first', () => {
    for (const reason of ['a', 'b', 'c']) keep({ reason });
    expect(
      store()
        .refusals.newest(2)
        .map(({ reason }) => reason),
    ).toEqual(['c', 'b']);
  });

  test(`of ${MAX_REFUSED_KEPT + 5} the oldest 5 go first, and all are counted`, () => {
    store().transaction(() => {
      for (let k = 1; k <= MAX_REFUSED_KEPT + 5; k++) keep({ reason: String(k) });
    });
    const reasons = store()
      .refusals.newest(MAX_REFUSED_KEPT + 10)
      .map(({ reason }) => reason);
    expect([reasons.length, reasons[0], reasons.at(-1)]).toEqual([
      MAX_REFUSED_KEPT,
      String(MAX_REFUSED_KEPT + 5),
      '6',
    ]);
    expect(store().refusals.countsByCode()).toEqual({ 'not-json': MAX_REFUSED_KEPT + 5 });
  });

  test('of 200 packs of 64 KiB as many are kept as fit into 8 MiB with their topics, and all are counted', () => {
    const payload = 'x'.repeat(65_536);
    store().transaction(() => {
      for (let k = 1; k <= 200; k++) keep({ payload, reason: String(k) });
    });
    // topics are 29 characters: floor(8 × 1024 × 1024 / (65 536 + 29)) = 127
    expect(MAX_REFUSED_BYTES).toBe(8 * 1024 * 1024);
    const kept = store().refusals.newest(500);
    expect([kept.length, kept[0]?.reason, kept.at(-1)?.reason]).toEqual([127, '200', '74']);
    expect(store().refusals.countsByCode()).toEqual({ 'not-json': 200 });
  });

  test('2 codes are counted apart and survive a restart', () => {
    keep();
    keep({ code: 'no-value' });
    keep({ code: 'no-value' });
    expect(reopen().refusals.countsByCode()).toEqual({ 'no-value': 2, 'not-json': 1 });
  });
}
