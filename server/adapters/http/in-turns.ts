import type { Response } from 'express';
import { Fault } from '../../../shared/faults.ts';
import type { Parts } from '../../ports.ts';

/**
 * Works through an answer that is made in parts; between two of them everyone else has a turn.
 * @throws Fault `bad-request` when nobody waits for it any more
 */
export async function inTurns<T>(parts: Parts<T>, response: Pick<Response, 'destroyed'>): Promise<T> {
  while (!response.destroyed) {
    const { done, value } = parts.next();
    if (done) return value;
    await new Promise((resolve) => setImmediate(resolve));
  }
  const message = 'The connection was closed before the answer was made.';
  throw new Fault({ code: 'bad-request', message });
}
