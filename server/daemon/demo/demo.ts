import { DEFAULT_PLACE_SETTINGS, PLACE_KINDS, type Place } from '../../../shared/model/place.ts';
import type { TargetSheet } from '../../../shared/model/targets.ts';
import { BACK_RECORD_MS } from '../../domain/demo/demo.ts';
import { DEMO_PLACES } from '../../domain/demo/scenario.ts';
import type { BatchService, Log, Store } from '../../ports.ts';
import type { FindingsService } from '../readout/findings.ts';
import type { World } from '../world/world.ts';
import { enterDemoBatches } from './batches.ts';
import { type DeviceDeps, KEPT_AS, pause, runDevices, Stop } from './demo-devices.ts';
import { historyOf, type MadeAlarm } from './history.ts';

/** How many seconds a removal waits at most for what an outside broker still holds of the demo. */
const SETTLE_TURNS = 30;

type DemoDeps = Omit<DeviceDeps, 'begins' | 'recorded'> & {
  readonly world: World;
  readonly store: Store;
  readonly targetSheet: TargetSheet;
  readonly log: Log;
  readonly placeChanged: (placeId: string) => void;
  readonly alarmChanged: (alarmId: string) => void;
  readonly batches: BatchService;
  readonly findings: Pick<FindingsService, 'checkNow'>;
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
    const recorded = (anchorMs: number) => addHistory(deps, anchorMs);
    const begins = (anchorMs: number) => stick(deps, anchorMs);
    const ended = runDevices({ ...deps, begins, recorded }, stop, reportProgress)
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

function demoPlaces({ world }: DemoDeps): Place[] {
  return DEMO_PLACES.flatMap(({ device }) => world.places.get(device) ?? []);
}

/** The batches that stand at its places, once: before its record comes, so that it is counted by their bands at once. */
function stick(deps: DemoDeps, anchorMs: number): void {
  const isStuck = demoPlaces(deps).some(({ id }) => deps.store.batches.atPlace(id).length > 0);
  if (!isStuck) enterDemoBatches(deps.batches, anchorMs);
}

/** The alarms that the rules make of its back record, once that is in. */
async function addHistory(deps: DemoDeps, anchorMs: number): Promise<void> {
  const { world, store, clock, timeZone, findings, placeChanged, alarmChanged } = deps;
  const places = demoPlaces(deps);
  const span = { fromMs: anchorMs - BACK_RECORD_MS, toMs: clock.nowMs() };
  const isMade = ({ id }: Place) =>
    store.alarms.eventsOfPlace({ placeId: id, ...span, afterId: 0, limit: 1 }).length > 0;
  if (places.some(isMade)) return;
  const made: MadeAlarm[] = [];
  for (const place of places)
    for (const one of historyOf(place, span, { world, store, timeZone })) {
      made.push(one);
      // a rule takes a part of a second: everybody else has a turn between two
      await new Promise<void>((resolve) => deps.timers.soon(resolve));
    }
  keepHistory(made, deps);
  for (const { record } of made) alarmChanged(record.id);
  for (const { id } of places) {
    findings.checkNow(id);
    placeChanged(id);
  }
}

function keepHistory(made: readonly MadeAlarm[], { world, store }: DemoDeps): void {
  const events = made
    .flatMap(({ record, transitions }) => transitions.map((one) => ({ alarmId: record.id, ...one })))
    .sort((a, b) => a.atMs - b.atMs);
  const records = made.filter(({ transitions }) => transitions.length > 0).map(({ record }) => record);
  store.transaction(() => {
    for (const record of records) store.alarms.save(record);
    for (const { alarmId, transition, atMs, by } of events)
      store.alarms.addEvent({ alarmId, transition, atMs, note: by });
  });
  for (const record of records) world.alarms.set(record.id, record);
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
