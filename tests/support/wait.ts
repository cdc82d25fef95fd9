import { setTimeout as sleep } from 'node:timers/promises';

export type Wait = { readonly what: string; readonly withinMs: number; readonly everyMs?: number };

/**
 * Asks again and again until there is an answer.
 *
 * @param ask returns null, or rejects, while there is none yet
 * @param wait what is awaited in words, and for how long at most
 * @returns the answer
 * @throws Error when the time is over, naming what was awaited and the last rejection
 */
export async function until<T>(ask: () => Promise<T | null> | T | null, wait: Wait): Promise<T> {
  const endMs = performance.now() + wait.withinMs;
  let lastError: unknown = null;
  while (performance.now() < endMs) {
    try {
      const answer = await ask();
      if (answer !== null) return answer;
    } catch (error) {
      lastError = error;
    }
    await sleep(wait.everyMs ?? 25);
  }
  throw new Error(`no ${wait.what} within ${wait.withinMs} ms`, { cause: lastError });
}
