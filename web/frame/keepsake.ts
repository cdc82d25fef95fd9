import type { Known } from './apply.ts';

/** The state of the installation as it was last seen, kept in the browser for the time the daemon is away. */
export type Keepsake = { readonly known: Known; readonly atMs: number };

/** Grows when the shape of what is kept changes: what an older page left is then not read. */
const KEEPSAKE_VERSION = 2;

/** The keepsake as text; `null` before anything is known. @param atMs when it was true, ms since epoch */
export function keepsakeText(known: Known, atMs: number): string | null {
  return known.house === null ? null : JSON.stringify({ v: KEEPSAKE_VERSION, atMs, known });
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null;
}

function isPlace(value: unknown): boolean {
  if (!isRecord(value) || typeof value['id'] !== 'string' || typeof value['name'] !== 'string') return false;
  const now = value['now'];
  return (
    isRecord(now) && isRecord(now['quantities']) && isRecord(value['settings']) && isRecord(value['targets'])
  );
}

function isKeepsake(value: unknown): value is Keepsake {
  if (!isRecord(value) || value['v'] !== KEEPSAKE_VERSION || typeof value['atMs'] !== 'number') return false;
  const known = value['known'];
  if (!isRecord(known) || !isRecord(known['house'])) return false;
  const { places, alarms } = known;
  return Array.isArray(places) && places.every(isPlace) && Array.isArray(alarms) && alarms.every(isRecord);
}

/** What was kept, or `null` where nothing was, or nothing this page can read. */
export function keepsakeOf(text: string | null): Keepsake | null {
  if (text === null) return null;
  try {
    const value: unknown = JSON.parse(text);
    return isKeepsake(value) ? { known: value.known, atMs: value.atMs } : null;
  } catch {
    return null;
  }
}
