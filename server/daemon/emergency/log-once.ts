import type { Log } from '../../ports.ts';

/** What is said again and again is said at the first time, and at each such count. */
const SAY_EACH = 1_000;
/** Different lines that are distinguished; beyond that each is logged. */
const MOST_KNOWN = 200;

/** Says in the log what went wrong, without filling it with what goes wrong each second. */
export function logOnce(log: Log, message: string) {
  const counts = new Map<string, number>();
  let all = 0;
  return {
    say(cause: unknown) {
      const error = cause instanceof Error ? (cause.stack ?? cause.message) : String(cause);
      const count = (counts.get(error) ?? 0) + 1;
      all++;
      if (counts.has(error) || counts.size < MOST_KNOWN) counts.set(error, count);
      if (count === 1 || count % SAY_EACH === 0) log.error(message, { error, count });
    },
    count: () => all,
  };
}
