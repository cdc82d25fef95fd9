import type { CDPSession } from 'playwright-core';

/** How long the main thread of a page has worked, ms; in the time domain that was enabled. */
export async function taskMs(session: CDPSession): Promise<number> {
  const { metrics } = await session.send('Performance.getMetrics');
  return 1000 * (metrics.find(({ name }) => name === 'TaskDuration')?.value ?? Number.NaN);
}
