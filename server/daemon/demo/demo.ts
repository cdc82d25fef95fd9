import { DEFAULT_PLACE_SETTINGS, PLACE_KINDS } from '../../../shared/model/place.ts';
import type { TargetSheet } from '../../../shared/model/targets.ts';
import { DEMO_PLACES } from '../../domain/demo/scenario.ts';
import type { Log, Store } from '../../ports.ts';
import type { World } from '../world/world.ts';
import { type DeviceDeps, KEPT_AS, pause, runDevices, Stop } from './demo-devices.ts';

/** How many seconds a removal waits at most for what an outside broker still holds of the demo. */
const SETTLE_TURNS = 30;

type DemoDeps = DeviceDeps & {
  readonly world: World;
  readonly store: Store;
  readonly targetSheet: TargetSheet;
  readonly log: Log;
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
 * The demo: simulated devices that publish over MQTT as real ones do, first a back record of
 * 14 days, then live. Their places are marked as demo.
 */
export function createDemo(deps: DemoDeps): Demo {
  const { keep, log } = deps;
  let running: { readonly stop: Stop; readonly ended: Promise<void> } | null = null;
  let progressPct: number | null = null;

  const start = () => {
    if (running) return;
    const stop = new Stop();
    progressPct = 0;
    const made = makePlaces(deps);
    const reportProgress = (pct: number | null) => {
      progressPct = pct;
    };
    const ended = runDevices(deps, stop, reportProgress)
      .catch((cause: unknown) => log.error('the demo stopped', { error: String(cause) }))
      .finally(() => {
        running = null;
        progressPct = null;
      });
    running = { stop, ended };
    for (const placeId of made) deps.placeChanged(placeId);
  };
  const stop = async () => {
    running?.stop.ask();
    await running?.ended;
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

/** Waits until nothing more of the demo comes: readings that came after the removal would make its places again. */
async function settled({ world, timers }: DemoDeps): Promise<void> {
  const newest = () =>
    DEMO_PLACES.flatMap(({ device }) => world.probesOf(device))
      .map((probe) => world.latest.get(probe.id)?.tMs)
      .join();
  let before = null;
  for (let turn = 0; turn < SETTLE_TURNS && before !== newest(); turn++) {
    before = newest();
    await pause(timers);
  }
}

/** @returns ids of the places that were not there yet */
function makePlaces({ world, store, targetSheet }: DemoDeps): string[] {
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
      // one that was archived or deleted is made again
      if (world.archived.place(place.id) !== null) store.places.removeWithRecord(place.id);
      store.places.add(place);
      store.places.addTargets(place.id, { fromMs: 0, enteredMs: 0, targets: targetSheet.targets });
    }
  });
  if (places.some(({ id }) => world.archived.place(id) !== null)) world.reload();
  for (const place of places) world.putPlace(place);
  return places.map(({ id }) => id);
}

function removePlaces({ world, store, placeChanged }: DemoDeps): void {
  const placeIds = store.places.ofDemo();
  store.transaction(() => {
    for (const placeId of placeIds) store.places.removeWithRecord(placeId);
  });
  world.reload();
  for (const placeId of placeIds) placeChanged(placeId);
}
