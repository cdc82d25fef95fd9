import type { ContactMethodKind } from '../../../shared/model/people/people.ts';
import type { Carrier, Delivery, Timers } from '../../ports.ts';

/** How long a whole attempt may last, from looking up the name to the last byte of the answer, ms. */
export const DEADLINES_MS: Readonly<Record<ContactMethodKind, number>> = {
  mail: 60_000,
  webhook: 15_000,
  push: 15_000,
};

type Limits = {
  readonly timers: Pick<Timers, 'after'>;
  readonly deadlinesMs?: Readonly<Record<ContactMethodKind, number>>;
};

/**
 * Ends every attempt of a carrier at its deadline, whatever the carrier does: its signal asks it to let go, and it is
 * not waited for.
 */
export function withDeadlines(carrier: Carrier, { timers, deadlinesMs = DEADLINES_MS }: Limits): Carrier {
  return {
    send(method, message, stop) {
      const lastsMs = deadlinesMs[method.kind];
      return within(lastsMs, { timers, stop }, (signal) => carrier.send(method, message, signal));
    },
  };
}

type Within = { readonly timers: Limits['timers']; readonly stop: AbortSignal };

function within(
  lastsMs: number,
  { timers, stop }: Within,
  send: (signal: AbortSignal) => Promise<Delivery>,
): Promise<Delivery> {
  const { promise, resolve } = Promise.withResolvers<Delivery>();
  const letGo = new AbortController();
  const failed = (error: string) => end({ delivered: false, error, forGood: false });
  const stopped = () => failed('stopped');
  const cancel = timers.after(lastsMs, () => failed(`not finished after ${lastsMs / 1_000} s, broken off`));
  const end = (delivery: Delivery) => {
    cancel();
    stop.removeEventListener('abort', stopped);
    resolve(delivery);
    letGo.abort();
  };
  stop.addEventListener('abort', stopped);
  send(letGo.signal).then(end, (cause: unknown) => failed(String(cause)));
  return promise;
}
