import type { TurnedAwayWhy } from '../../../shared/wire/probes/device.ts';
import type { MisspeltListener } from '../../adapters/mqtt/misspelt.ts';
import type { Demo } from '../../daemon/demo/demo.ts';
import type { Bus } from '../../ports.ts';

/** Edges that exist only after the daemon that asks about them. */
export type LateBound = {
  bus: Bus | null;
  demo: Demo | null;
  recheck: () => void;
  want: (filters: readonly string[]) => void;
  turnedAway: (why: TurnedAwayWhy, address: string) => void;
  misspelt: MisspeltListener | null;
  /** whether what has had its time may be forgotten: not before the clock is known */
  mayForget: () => boolean;
};

/** Before any of them exists: nothing is announced, and nothing forgotten. */
export function nothingYet(): LateBound {
  return {
    bus: null,
    demo: null,
    recheck: () => undefined,
    want: () => undefined,
    turnedAway: () => undefined,
    misspelt: null,
    mayForget: () => false,
  };
}
