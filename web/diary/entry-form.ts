import { instantOfWall, wallTime } from '../common/time.ts';
import { WORDS } from './words.ts';

const MINUTE_MS = 60_000;
/** As the interface allows. */
const MAX_NOTE_CHARACTERS = 2_000;

/** What the form of an entry holds; `at` is a wall-clock time in the installation's time zone. */
type EntryValues = { readonly at: string; readonly note: string };
type EntryBody = { readonly at?: string; readonly note: string | null };
type EntryRead =
  | { readonly body: EntryBody; readonly errors: null }
  | { readonly body: null; readonly errors: Readonly<Partial<Record<keyof EntryValues, string>>> };

/** The form of an entry as it was written. */
export function valuesOf(
  entry: { readonly at: string; readonly note: string | null },
  timeZone: string,
): EntryValues {
  return { at: wallTime({ atMs: Date.parse(entry.at), timeZone }), note: entry.note ?? '' };
}

/** The wall-clock time some minutes before now. */
export function wallAgo(minutes: number, at: { readonly nowMs: number; readonly timeZone: string }): string {
  return wallTime({ atMs: at.nowMs - minutes * MINUTE_MS, timeZone: at.timeZone });
}

/**
 * The inputs as a change of an entry, or what is wrong with them. A time that was not touched is not sent: the form
 * has no seconds.
 * @param before as the form was opened
 */
export function entryOf(
  values: EntryValues,
  before: EntryValues,
  at: { readonly nowMs: number; readonly timeZone: string },
): EntryRead {
  const note = values.note.trim() || null;
  if ((note?.length ?? 0) > MAX_NOTE_CHARACTERS) return { body: null, errors: { note: WORDS.tooLong } };
  if (values.at === before.at) return { body: { note }, errors: null };
  const atMs = instantOfWall({ wall: values.at, timeZone: at.timeZone });
  if (atMs === null) return { body: null, errors: { at: WORDS.noTime } };
  if (atMs > at.nowMs) return { body: null, errors: { at: WORDS.ahead } };
  return { body: { at: new Date(atMs).toISOString(), note }, errors: null };
}
