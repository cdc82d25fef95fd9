/** How long the outside watcher may take to answer, ms. */
const TIMEOUT_MS = 10_000;

/**
 * A sign of life to an outside watcher by HTTP GET; any 2xx answer counts.
 * @param url `http://` or `https://`; never written to a log, as it may hold a secret
 */
export function createPing(url: string): () => Promise<void> {
  return async () => {
    const response = await fetch(url, { redirect: 'manual', signal: AbortSignal.timeout(TIMEOUT_MS) }).catch(
      () => {
        throw new Error('no answer');
      },
    );
    await response.body?.cancel();
    if (!response.ok) throw new Error(`it answered ${response.status}`);
  };
}
