import type { Timers } from '../../ports.ts';

/** After places went out, those that report meanwhile wait for so long together, ms: a page draws no oftener. */
const REST_MS = 40;
/** Most places of one turn, so that hundreds of them make none long; the others go in the next. */
const MOST_A_TURN = 50;

type PaceDeps = {
  readonly timers: Pick<Timers, 'after' | 'soon'>;
  /** sends what these places are like now */
  readonly send: (placeIds: readonly string[]) => void;
};

/**
 * When pages are sent what places report: the first at once, those that follow within `REST_MS` together at its end, and one
 * whose alarms changed at once in any case.
 */
export function createPagePace({ timers, send }: PaceDeps) {
  const due = new Set<string>();
  let phase: 'idle' | 'soon' | 'resting' | 'stopped' = 'idle';
  let stopRest: () => void = () => undefined;

  const sendNow = (placeIds: readonly string[]) => {
    for (const id of placeIds) due.delete(id);
    send(placeIds);
  };
  const turn = () => {
    if (phase === 'stopped') return;
    phase = 'resting';
    stopRest = timers.after(REST_MS, () => {
      phase = 'idle';
      if (due.size > 0) turn();
    });
    sendNow([...due].slice(0, MOST_A_TURN));
  };
  return {
    reporting(placeIds: readonly string[]) {
      for (const id of placeIds) due.add(id);
      if (phase !== 'idle' || due.size === 0) return;
      phase = 'soon';
      // what is committed is acknowledged first
      timers.soon(turn);
    },
    /** The alarms of a place changed; where it reported, too, it goes out without a rest. */
    changed(placeId: string) {
      if (phase !== 'resting' || !due.has(placeId)) return;
      timers.soon(() => {
        if (phase !== 'stopped' && due.has(placeId)) sendNow([placeId]);
      });
    },
    stop() {
      phase = 'stopped';
      stopRest();
    },
  };
}
