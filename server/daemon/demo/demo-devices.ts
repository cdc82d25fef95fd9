import { readingsTopic } from '../../../firmware-contracts/v1/topics.ts';
import { utcOffsetMs } from '../../domain/calendar/days.ts';
import { earlierCasePacks } from '../../domain/demo/case.ts';
import {
  BACK_CADENCE_MS,
  BACK_RECORD_MS,
  type DemoState,
  LIVE_CADENCE_MS,
  startDemo,
  stepDemo,
} from '../../domain/demo/demo.ts';
import type { DemoPack } from '../../domain/demo/packs.ts';
import type { Clock, DevicePublisher, Keep, Timers } from '../../ports.ts';

/** Under this name the state of the simulation is kept. */
export const KEPT_AS = 'demo';
const SEED = 20_260_301;
/** How much of the back record is made and sent between looks at the clock. */
const STRETCH_MS = 6 * 3_600_000;
/** Packs that are sent before the first of them is acknowledged: as many as a common outside broker takes at once. */
const SENT_AT_ONCE = 20;
/** How often the state is kept; what is lost by a crash is made again, reading by reading the same. */
const KEEP_EVERY_MS = 10 * 60_000;

export type DeviceDeps = {
  readonly clock: Clock;
  readonly timers: Timers;
  readonly keep: Keep;
  readonly timeZone: string;
  readonly connect: () => Promise<DevicePublisher>;
  /** as the back record begins to be sent, with when it ends, ms since epoch */
  readonly begins: (anchorMs: number) => void;
  /** once it is in, with when it ends, ms since epoch */
  readonly recorded: (anchorMs: number) => Promise<void>;
};

/** A stop that somebody may ask for: whatever is waited for is then given up. */
export class Stop {
  #asked = false;
  #cutShort: () => void = () => undefined;

  get asked(): boolean {
    return this.#asked;
  }

  ask(): void {
    this.#asked = true;
    this.#cutShort();
  }

  /** What is waited for, or `null` at a stop: a broker that cannot be reached answers nobody. */
  or<T>(work: Promise<T>): Promise<T | null> {
    return new Promise((resolve, reject) => {
      this.#cutShort = () => resolve(null);
      work.then(resolve, reject);
    });
  }
}

/**
 * Lets the simulated devices publish until the stop: the back record first, then live.
 * @param tellProgress percent of the back record that is out, null once live
 */
export async function runDevices(
  deps: DeviceDeps,
  stop: Stop,
  reportProgress: (pct: number | null) => void,
): Promise<void> {
  const connecting = deps.connect();
  const publisher = await stop.or(connecting);
  if (publisher === null) {
    connecting.then((late) => late.close()).catch(() => undefined);
    return;
  }
  try {
    await publish({ deps, stop, publisher, reportProgress });
  } finally {
    await publisher.close();
  }
}

type Speech = {
  readonly deps: DeviceDeps;
  readonly stop: Stop;
  readonly publisher: DevicePublisher;
  readonly reportProgress: (pct: number | null) => void;
};

async function publish({ deps, stop, publisher, reportProgress }: Speech): Promise<void> {
  const { clock, keep } = deps;
  const kept = takenUp(keep, clock.nowMs());
  let state = kept ?? begun(deps);
  const fromMs = state.tMs;
  let keptMs = 0;
  let isRecorded = kept !== null;
  if (kept === null) {
    deps.begins(state.frame.anchorMs);
    await sent(earlierCasePacks(state.frame, state.tMs), { stop, publisher });
  }
  while (!stop.asked) {
    const nowMs = clock.nowMs();
    const behind = nowMs - state.tMs > 2 * BACK_CADENCE_MS;
    const toMs = Math.min(nowMs, state.tMs + STRETCH_MS);
    const step = stepDemo(state, { toMs, cadenceMs: behind ? BACK_CADENCE_MS : LIVE_CADENCE_MS });
    await sent(step.packs, { stop, publisher });
    if (stop.asked) return;
    state = step.state;
    reportProgress(behind ? Math.round((100 * (state.tMs - fromMs)) / (nowMs - fromMs)) : null);
    if (behind) continue;
    if (!isRecorded) await deps.recorded(state.frame.anchorMs);
    isRecorded = true;
    if (state.tMs - keptMs >= KEEP_EVERY_MS) {
      keep.write(KEPT_AS, JSON.stringify(state));
      keptMs = state.tMs;
    }
    await stop.or(pause(deps.timers));
  }
}

/** Sends packs in their order; many are under way at once, so that one commit takes many of them. */
async function sent(
  packs: readonly DemoPack[],
  { stop, publisher }: Pick<Speech, 'stop' | 'publisher'>,
): Promise<void> {
  for (let first = 0; first < packs.length && !stop.asked; first += SENT_AT_ONCE) {
    const some = packs.slice(first, first + SENT_AT_ONCE);
    const publish = ({ device, records }: DemoPack) =>
      publisher.publish(readingsTopic(device), JSON.stringify(records));
    await stop.or(Promise.all(some.map(publish)));
  }
}

/** One second. */
export function pause(timers: Timers): Promise<void> {
  return new Promise((resolve) => timers.after(1_000, resolve));
}

/** The state kept by an earlier run, unless it is older than a whole back record. */
function takenUp(keep: Keep, nowMs: number): DemoState | null {
  const text = keep.read(KEPT_AS);
  if (text === null) return null;
  // written by ourselves alone
  const state = JSON.parse(text) as DemoState;
  // one of an earlier version knows no heated case
  const isWhole = state.frame.anchorMs !== undefined;
  return isWhole && nowMs - state.tMs < BACK_RECORD_MS ? state : null;
}

function begun({ clock, timeZone }: DeviceDeps): DemoState {
  const anchorMs = clock.nowMs();
  return startDemo({ seed: SEED, anchorMs, utcOffsetMs: utcOffsetMs({ atMs: anchorMs, zone: timeZone }) });
}
