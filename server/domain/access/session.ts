const DAY_MS = 86_400_000;

/** A session ends so long after it was last used, ms, and so long after it began whatever happened. */
const SESSION_IDLE_MS = 14 * DAY_MS;
export const SESSION_LASTS_MS = 90 * DAY_MS;
/** How often the use of a session is written down, ms: each costs a commit. */
export const SEEN_EVERY_MS = 3_600_000;
/** Most sessions of one account; one more ends the one used longest ago. */
const MAX_SESSIONS = 20;

type Times = { readonly createdMs: number; readonly seenMs: number };

/**
 * When a session ends unless it is used again.
 * @param session when it began and when it was last used, ms since epoch
 * @returns ms since epoch
 */
export function sessionEndMs({ createdMs, seenMs }: Times): number {
  return Math.min(createdMs + SESSION_LASTS_MS, seenMs + SESSION_IDLE_MS);
}

/**
 * Which sessions give way to a new one.
 * @param sessions those of one account, ids with their last use, ms since epoch
 * @returns ids, so that with one more at most MAX_SESSIONS are left
 */
export function sessionsToEnd(
  sessions: readonly { readonly id: number; readonly seenMs: number }[],
): number[] {
  const oldestFirst = sessions.toSorted((a, b) => a.seenMs - b.seenMs || a.id - b.id);
  return oldestFirst.slice(0, Math.max(0, sessions.length + 1 - MAX_SESSIONS)).map(({ id }) => id);
}
