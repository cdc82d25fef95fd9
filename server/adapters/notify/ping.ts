import type { SendHttp, Timers } from '../../ports.ts';
import { reasonOf } from './outgoing.ts';

/** How long the outside watcher may take to answer, ms. */
const DEADLINE_MS = 15_000;

type PingDeps = {
  readonly sendHttp: SendHttp;
  readonly timers: Pick<Timers, 'after'>;
  readonly deadlineMs?: number;
};

/**
 * A sign of life to an outside watcher by HTTP GET; any 2xx answer counts.
 * @param url `http://` or `https://`; never written to a log, as it may hold a secret
 */
export function createPing(
  url: string,
  { sendHttp, timers, deadlineMs = DEADLINE_MS }: PingDeps,
): () => Promise<void> {
  return async () => {
    const letGo = new AbortController();
    const cancel = timers.after(deadlineMs, () => letGo.abort());
    try {
      const { status } = await sendHttp({
        url,
        method: 'GET',
        headers: {},
        body: '',
        signal: letGo.signal,
        ownAddresses: true,
      });
      if (status < 200 || status > 299) throw new Error(`it answered ${status}`);
    } catch (cause) {
      const reason = reasonOf(cause);
      throw new Error(reason.startsWith('it answered') ? reason : 'no answer');
    } finally {
      cancel();
    }
  };
}
