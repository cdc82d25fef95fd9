import type { ClockAnswer } from '../../shared/wire/clock.ts';
import type { LoopDelay } from '../domain/metrics/families.ts';

/** Why readings cannot be taken now. */
export type NotReady = 'starting' | 'broker-away' | 'record-not-writable';

/** What machines ask of the daemon. */
export type StatusService = {
  /** Whether it was started and its turns come round. */
  alive(): boolean;
  /** Why readings cannot be taken now; none: they can. */
  notReady(): readonly NotReady[];
  /** How the clock was set, and what was set aside for it. */
  clock(): ClockAnswer;
  /** Measurements as OpenMetrics text. */
  metrics(): Promise<string>;
};

/** How late timers ran, since the last check. */
export type LoopDelays = () => LoopDelay;
