import { MAX_FUTURE_MS } from '../../firmware-contracts/v1/limits.ts';
import type { AlarmRecord } from '../domain/alarms/record.ts';
import { createClockWatch } from './clock/clock-watch.ts';
import type { DaemonDeps, HouseDeps } from './deps.ts';
import { openEmergency } from './emergency/emergency.ts';
import { readBackDelays } from './evaluate/read-back.ts';
import { guarded, guardedTimers } from './guard/guard.ts';
import { createTroubles, type Troubles } from './guard/troubles.ts';
import type { NotifySettings } from './notify/calling.ts';
import { createCauses } from './readout/alarms/alarm-cause.ts';
import { createStakes, type StakeNow } from './readout/alarms/stake.ts';
import { rememberedAt } from './readout/condition.ts';
import type { QueryContext } from './readout/present.ts';
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
  const settings = { webhookSet: methods.installationWebhook !== null, timeZone, links };
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

/** What messages say of harm and of causes. */
export function harmSaid(query: QueryContext, troubles: Troubles) {
  const causes = createCauses(query);
  const judgeCause = (record: AlarmRecord) =>
    guarded(`the cause of ${record.id}`, () => causes(record), { troubles, otherwise: false });
  return { stakeNow: stakesNow(query, troubles), remembered: rememberedNow(query, troubles), judgeCause };
}

/** What is at stake now, for messages: they must go out, whatever cannot be said of it. */
function stakesNow(query: QueryContext, troubles: Troubles): StakeNow {
  const stakes = createStakes(query);
  return (record) =>
    guarded(`what is at stake: ${record.id}`, () => stakes(record), { troubles, otherwise: null });
}

/** What places are remembered for, for the morning sheet: it must go out, whatever cannot be told of one. */
function rememberedNow(query: QueryContext, troubles: Troubles): NotifySettings['remembered'] {
  return (placeId) => {
    const place = query.world.places.get(placeId);
    const look = () => (place ? rememberedAt(place, query.clock.nowMs(), query) : []);
    return guarded(`what is remembered: ${placeId}`, look, { troubles, otherwise: [] });
  };
}
