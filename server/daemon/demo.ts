import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { DEFAULT_PLACE_SETTINGS, PLACE_KINDS } from '../../shared/model/place.ts';
import type { TargetSheet } from '../../shared/model/targets.ts';
import { utcOffsetMs } from '../domain/calendar/days.ts';
import {
  BACK_CADENCE_MS,
  BACK_RECORD_MS,
  type DemoState,
  LIVE_CADENCE_MS,
  startDemo,
  stepDemo,
} from '../domain/demo/demo.ts';
import { DEMO_PLACES } from '../domain/demo/scenario.ts';
import type { Clock, DevicePublisher, Keep, Log, Store, Timers } from '../ports.ts';
import type { World } from './world.ts';

const KEPT_AS = 'demo';
const SEED = 20_260_301;
/** How much of the back record is made and sent between looks at the clock. */
const STRETCH_MS = 6 * 3_600_000;
/** How often the state is kept; what is lost by a crash is made again, reading by reading the same. */
const KEEP_EVERY_MS = 10 * 60_000;
/** How many seconds a removal waits at most for what an outside broker still holds of the demo. */
const SETTLE_TURNS = 30;

export type DemoDeps = {
  readonly world: World;
  readonly store: Store;
  readonly sheet: TargetSheet;
  readonly clock: Clock;
  readonly timers: Timers;
  readonly log: Log;
  readonly keep: Keep;
  readonly timeZone: string;
  readonly connect: () => Promise<DevicePublisher>;
  readonly placeChanged: (placeId: string) => void;
};

export type Demo = {
  start(): void;
  /** Starts again what ran when the daemon stopped. */
  resume(): void;
  remove(): Promise<void>;
  stop(): Promise<void>;
  progress(): { running: boolean; progressPct: number | null };
};

/**
 * The invented demo: simulated devices that publish over MQTT as real ones do, first a back record of
 * 14 days, then live. Their places are marked as invented.
 */
export function createDemo(deps: DemoDeps): Demo {
  const { keep, clock, log } = deps;
  let running: Promise<void> | null = null;
  let stopping = false;
  let progressPct: number | null = null;

  let cutShort: () => void = () => undefined;

  /** What is waited for, or `null` at a stop: a broker that cannot be reached answers nobody. */
  const untilStop = <T>(work: Promise<T>): Promise<T | null> =>
    new Promise((resolve, reject) => {
      cutShort = () => resolve(null);
      work.then(resolve, reject);
    });
  const run = async () => {
    const connecting = deps.connect();
    const publisher = await untilStop(connecting);
    if (publisher === null) {
      connecting.then((late) => late.close()).catch(() => undefined);
      return;
    }
    try {
      let state = takenUp(keep, clock.nowMs()) ?? begun(deps);
      const fromMs = state.tMs;
      let keptMs = 0;
      while (!stopping) {
        const nowMs = clock.nowMs();
        const behind = nowMs - state.tMs > 2 * BACK_CADENCE_MS;
        const toMs = Math.min(nowMs, state.tMs + STRETCH_MS);
        const cadenceMs = behind ? BACK_CADENCE_MS : LIVE_CADENCE_MS;
        const step = stepDemo(state, { toMs, cadenceMs });
        for (const { device, records } of step.packs) {
          await untilStop(publisher.publish(readingsTopic(device), JSON.stringify(records)));
          if (stopping) return;
        }
        state = step.state;
        progressPct = behind ? Math.round((100 * (state.tMs - fromMs)) / (nowMs - fromMs)) : null;
        if (!behind && state.tMs - keptMs >= KEEP_EVERY_MS) {
          keep.write(KEPT_AS, JSON.stringify(state));
          keptMs = state.tMs;
        }
        if (!behind) await untilStop(pause(deps.timers));
      }
    } finally {
      await publisher.close();
    }
  };
  const start = () => {
    if (running) return;
    stopping = false;
    progressPct = 0;
    const made = makePlaces(deps);
    running = run()
      .catch((cause: unknown) => log.error('the demo stopped', { error: String(cause) }))
      .finally(() => {
        running = null;
        progressPct = null;
      });
    for (const placeId of made) deps.placeChanged(placeId);
  };
  const stop = async () => {
    stopping = true;
    cutShort();
    await running;
  };

  return {
    start,
    resume: () => {
      if (keep.read(KEPT_AS) !== null) start();
    },
    async remove() {
      await stop();
      await settled(deps);
      keep.remove(KEPT_AS);
      removePlaces(deps);
    },
    stop,
    progress: () => ({ running: running !== null, progressPct }),
  };
}

function pause(timers: Timers): Promise<void> {
  return new Promise((resolve) => timers.after(1_000, resolve));
}

/** Waits until nothing more of the demo comes: readings that came after the removal would make its places anew. */
async function settled({ world, timers }: DemoDeps): Promise<void> {
  const newest = () =>
    DEMO_PLACES.flatMap(({ device }) => world.probesOf(device))
      .map((probe) => world.heard.get(probe.id)?.tMs)
      .join();
  let before = null;
  for (let turn = 0; turn < SETTLE_TURNS && before !== newest(); turn++) {
    before = newest();
    await pause(timers);
  }
}

/** The state kept by an earlier run, unless it is older than a whole back record. */
function takenUp(keep: Keep, nowMs: number): DemoState | null {
  const text = keep.read(KEPT_AS);
  if (text === null) return null;
  // written by ourselves alone
  const state = JSON.parse(text) as DemoState;
  return nowMs - state.tMs < BACK_RECORD_MS ? state : null;
}

function begun({ clock, timeZone }: DemoDeps): DemoState {
  const anchorMs = clock.nowMs();
  return startDemo({ seed: SEED, anchorMs, utcOffsetMs: utcOffsetMs({ atMs: anchorMs, zone: timeZone }) });
}

/** @returns ids of the places that were not there yet */
function makePlaces({ world, store, sheet }: DemoDeps): string[] {
  const missing = DEMO_PLACES.filter(({ device }) => !world.places.has(device));
  const places = missing.map(({ device, name, kind }) => ({
    id: device,
    name,
    kind: PLACE_KINDS.find((known) => known === kind) ?? ('unstated' as const),
    invented: true,
    settings: DEFAULT_PLACE_SETTINGS,
  }));
  store.transaction(() => {
    for (const place of places) {
      store.places.add(place);
      store.places.addTargets(place.id, { fromMs: 0, enteredMs: 0, targets: sheet.targets });
    }
  });
  for (const place of places) world.putPlace(place);
  return places.map(({ id }) => id);
}

function removePlaces({ world, store, placeChanged }: DemoDeps): void {
  const invented = [...world.places.values()].filter((place) => place.invented);
  store.transaction(() => {
    for (const place of invented) store.places.removeWithRecord(place.id);
  });
  world.reload();
  for (const place of invented) placeChanged(place.id);
}
