import { monitorEventLoopDelay } from 'node:perf_hooks';
import type { LoopDelays, Timers } from '../../ports.ts';

/** Timers are checked this often, ms: seldom, so that an idle computer may rest. */
const RESOLUTION_MS = 100;
const SPAN_MS = 60_000;
const NS_PER_MS = 1e6;

/** Measures how late timers run, a minute at a time. */
export function measureLoopDelay(timers: Pick<Timers, 'every'>): LoopDelays {
  const histogram = monitorEventLoopDelay({ resolution: RESOLUTION_MS });
  histogram.enable();
  // what is measured is the time between two timers: all beyond it is delay
  const lateMs = (ns: number) => (Number.isFinite(ns) ? Math.max(0, ns / NS_PER_MS - RESOLUTION_MS) : 0);
  const measured = () => ({
    medianMs: lateMs(histogram.percentile(50)),
    p99Ms: lateMs(histogram.percentile(99)),
    maxMs: histogram.count === 0 ? 0 : lateMs(histogram.max),
  });
  let last: ReturnType<typeof measured> | null = null;
  timers.every(SPAN_MS, () => {
    last = measured();
    histogram.reset();
  });
  return () => last ?? measured();
}
