import { MAX_FUTURE_MS } from '../../firmware-contracts/v1/limits.ts';
import { createClockWatch } from './clock/clock-watch.ts';
import type { DaemonDeps, HouseDeps } from './deps.ts';
import { openEmergency } from './emergency/emergency.ts';
import { readBackDelays } from './evaluate/read-back.ts';
import { guardedTimers } from './guard/guard.ts';
import { createTroubles } from './guard/troubles.ts';
import type { AnnunciatorSettings } from './notify/annunciate.ts';
import { createDayNight } from './world/day-night.ts';
import { World } from './world/world.ts';

/** What is held in memory, as it is on disk, and what watches over it: the clock, the record, mistakes of our own. */
export function openHouse(given: DaemonDeps) {
  const emergency = given.emergency ?? openEmergency({ ...given, record: given.store });
  const { store } = emergency;
  const clockWatch = createClockWatch({ ...given, store });
  // what waits in the record moves with the clock before it is read
  clockWatch.begin();
  const { timeZone, clock, links, ways: methods } = given;
  const { world, dayNight } = openWorld({ store, timeZone, clock });
  emergency.onEnter(() => world.reload());
  const troubles = createTroubles({ ...given, world });
  const timers = guardedTimers(given.timers, (cause) =>
    troubles.note({ rule: 'monitoring-fault', what: 'a turn of the daemon', cause }),
  );
  const deps: HouseDeps = { ...given, store, emergency, clockWatch, timers };
  const settings: AnnunciatorSettings = { webhookSet: methods.installationWebhook !== null, timeZone, links };
  return { deps, world, dayNight, troubles, settings };
}

/** The world as it is on disk, with how much of their delays had elapsed when the daemon ended. */
function openWorld({ store, timeZone, clock }: Pick<HouseDeps, 'store' | 'timeZone' | 'clock'>) {
  const world = new World(store, () => clock.nowMs() + MAX_FUTURE_MS);
  const dayNight = createDayNight({ world, store, timeZone });
  world.afterReload = () => readBackDelays({ world, dayNight, store });
  world.afterReload();
  return { world, dayNight };
}
