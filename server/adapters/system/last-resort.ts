import type { Log } from '../../ports.ts';

/** The same is logged at its first time, and then at each such count. */
const LOG_EACH = 1_000;

/**
 * From now on nothing that nobody caught ends the process: it is logged, and the watch goes on. A standard stream
 * that is closed, or on a full disk, is no reason to stop either.
 */
export function goOnWhatever(log: Log): void {
  let count = 0;
  const say = (cause: unknown) => {
    count++;
    const error = cause instanceof Error ? (cause.stack ?? cause.message) : String(cause);
    if (count < LOG_EACH || count % LOG_EACH === 0)
      log.error('nobody caught this; the watch goes on', { error, count });
  };
  process.on('uncaughtException', say);
  process.on('unhandledRejection', say);
  for (const stream of [process.stdout, process.stderr]) stream.on('error', () => undefined);
}
