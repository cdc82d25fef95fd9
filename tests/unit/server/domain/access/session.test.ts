import { expect, test } from 'vitest';
import { sessionEndMs, sessionsToEnd } from '../../../../../server/domain/access/session.ts';

const DAY_MS = 86_400_000;

test('a session ends 14 days after it was last used, and 90 days after it began however often it is used', () => {
  expect(sessionEndMs({ createdMs: 0, seenMs: 0 })).toBe(14 * DAY_MS);
  expect(sessionEndMs({ createdMs: 0, seenMs: 50 * DAY_MS })).toBe(64 * DAY_MS);
  expect(sessionEndMs({ createdMs: 0, seenMs: 89 * DAY_MS })).toBe(90 * DAY_MS);
});

test('of 20 sessions of an account the one used longest ago gives way to the 21st, of 19 none', () => {
  const sessions = Array.from({ length: 20 }, (_, i) => ({ id: i + 1, seenMs: i === 7 ? 0 : 100 + i }));
  expect(sessionsToEnd(sessions)).toEqual([8]);
  expect(sessionsToEnd(sessions.slice(0, 19))).toEqual([]);
});
