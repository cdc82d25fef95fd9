import type { Night } from '../../shared/wire/http.ts';

export const NIGHT_KEY = 'strikewell.last-night';
/** Grows when the shape of what is kept changes: what an older page left is then not read. */
const KEPT_VERSION = 2;

/** The newest night as text, for a visit at which the daemon is away. */
export function keptNightText(night: Night): string {
  return JSON.stringify({ v: KEPT_VERSION, night });
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null;
}

function isNight(value: unknown): value is Night {
  if (!isRecord(value) || !Array.isArray(value['places'])) return false;
  const times = ['date', 'from', 'to', 'madeAt'].every((name) => typeof value[name] === 'string');
  return (
    times &&
    value['places'].every(
      (row) => isRecord(row) && typeof row['placeId'] === 'string' && Array.isArray(row['excursions']),
    )
  );
}

/** What was kept, or `null` where nothing was, or nothing this page can read. */
export function keptNightOf(text: string | null): Night | null {
  if (text === null) return null;
  try {
    const value: unknown = JSON.parse(text);
    return isRecord(value) && value['v'] === KEPT_VERSION && isNight(value['night']) ? value['night'] : null;
  } catch {
    return null;
  }
}
