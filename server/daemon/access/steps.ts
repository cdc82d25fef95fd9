import { MAX_STEPS, STEP_LASTS_MS } from '../../domain/access/passkey.ts';
import type { Clock, Secrets } from '../../ports.ts';

/**
 * Steps that were begun and wait for their answer, by a random ticket. Each is ended by its first answer, whatever it
 * holds, so that no challenge is used twice.
 */
export function createSteps<T>({ clock, secrets }: { clock: Clock; secrets: Secrets }) {
  const begun = new Map<string, { readonly step: T; readonly atMs: number }>();
  return {
    begin(step: T): { readonly ticket: string; readonly untilMs: number } {
      const atMs = clock.nowMs();
      const ticket = secrets.token();
      begun.set(ticket, { step, atMs });
      const [oldest] = begun.keys();
      if (begun.size > MAX_STEPS && oldest !== undefined) begun.delete(oldest);
      return { ticket, untilMs: atMs + STEP_LASTS_MS };
    },
    take(ticket: string): T | null {
      const found = begun.get(ticket) ?? null;
      begun.delete(ticket);
      const lasts = found !== null && Math.abs(clock.nowMs() - found.atMs) < STEP_LASTS_MS;
      return lasts ? found.step : null;
    },
  };
}
