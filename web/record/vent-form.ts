import { instantOfWall } from '../common/time.ts';

/** What the form of a vent holds; `from` and `to` are wall-clock times in the installation's time zone. */
export type VentValues = {
  readonly when: 'now' | 'span';
  readonly from: string;
  readonly to: string;
  readonly note: string;
};
export type VentBody = { readonly from: string; readonly to: string | null; readonly note: string | null };
type VentRead =
  | { readonly body: VentBody; readonly errors: null }
  | { readonly body: null; readonly errors: Readonly<Record<string, string>> };

const iso = (atMs: number) => new Date(atMs).toISOString();

/**
 * The inputs as a vent to log, or what is wrong with them.
 * @param at.nowMs the present, ms since epoch, for a cover opened now
 */
export function ventOf(values: VentValues, at: { nowMs: number; timeZone: string }): VentRead {
  const note = values.note.trim() || null;
  if (values.when === 'now') return { body: { from: iso(at.nowMs), to: null, note }, errors: null };
  const fromMs = instantOfWall({ wall: values.from, timeZone: at.timeZone });
  const toMs = values.to === '' ? null : instantOfWall({ wall: values.to, timeZone: at.timeZone });
  if (fromMs === null) return wrong('from', 'when was it opened?');
  if (fromMs > at.nowMs) return wrong('from', 'that is still to come');
  if (toMs !== null && toMs <= fromMs) return wrong('to', 'it was shut after it was opened');
  if (toMs !== null && toMs > at.nowMs) return wrong('to', 'that is still to come');
  return { body: { from: iso(fromMs), to: toMs === null ? null : iso(toMs), note }, errors: null };
}

function wrong(field: string, message: string): VentRead {
  return { body: null, errors: { [field]: message } };
}
