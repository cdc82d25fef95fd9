import { DEFAULT_MAX_GAP_MS } from '../../../shared/exposure/coverage.ts';
import { MS_PER_HOUR, type ProbeRecord } from '../../../shared/exposure/series.ts';
import { countedHourFor, type Horizon, REACH_HOURS } from '../../domain/disk-space/horizon.ts';
import { withoutLeftOut } from '../../domain/probes/left-out.ts';
import { baseQuantity } from '../world/records.ts';
import { type SettleContext, settleForGood, settleHours } from '../world/settled-exposures.ts';
import type { World } from '../world/world.ts';

/** Hours settled for good in one turn; places looked at, and hours of probes turned into minutes, in one turn. */
const HOURS_A_TURN = 6;
const PLACES_A_TURN = 8;
const BLOCKS_A_TURN = 40;

export type RetentionContext = SettleContext & {
  /** whole days for which readings are kept, null for ever */
  readonly keepRawDays: number | null;
};

/**
 * Lets readings go that are older than they are to be kept, a few at a time. First all exposures they bear on are
 * settled for good, in the transaction that moves the horizon over them; only then do minutes take the place of
 * readings, hour by hour, each with its readings' end in one transaction. So a crash at any step loses nothing that
 * could not be counted again, and the next start goes on where it was.
 * @returns a turn: true while there is more to do
 */
export function createRetention(): (context: RetentionContext) => boolean {
  // how far the step under way has come: places settled, and probes whose hour was turned into minutes
  const under = { places: 0, probes: 0 };
  return (context) => {
    const { store, keepRawDays, nowMs } = context;
    if (keepRawDays === null) return false;
    const target = countedHourFor({ nowMs, keepRawDays });
    const horizon = store.horizon.get();
    if (horizon === null) {
      begin(target, context);
      return true;
    }
    if (horizon.countedHour < target) {
      settleStep(horizon, { target, under }, context);
      return true;
    }
    if (horizon.droppedHour >= horizon.countedHour - REACH_HOURS) return false;
    retentionStep(horizon, under, context);
    return true;
  };
}

/** The horizon begins where the record does, or at once where it is to be when all is younger. */
function begin(target: number, { store, world }: RetentionContext): void {
  const oldestMs = store.journal.oldestMs([...world.probes.keys()]);
  const oldest = oldestMs === null ? target : Math.floor(oldestMs / MS_PER_HOUR);
  const countedHour = Math.min(target, oldest);
  store.transaction(() => store.horizon.set({ countedHour, droppedHour: countedHour - REACH_HOURS }));
}

type Under = { places: number; probes: number };

function settleStep(
  { countedHour, droppedHour }: Horizon,
  { target, under }: { target: number; under: Under },
  context: RetentionContext,
): void {
  const { store, world } = context;
  const places = [...world.places.values()];
  const hours = { first: countedHour, end: Math.min(target, countedHour + HOURS_A_TURN) };
  for (const place of places.slice(under.places, under.places + PLACES_A_TURN))
    settleHours(place, hours, context);
  under.places += PLACES_A_TURN;
  if (under.places < places.length) return;
  under.places = 0;
  store.transaction(() => {
    // settled just now, unless a late reading came between: then that is counted here
    for (const place of places) settleForGood(place, hours, context);
    store.horizon.set({ countedHour: hours.end, droppedHour });
  });
}

function retentionStep(
  { countedHour, droppedHour }: Horizon,
  under: Under,
  { store, world }: RetentionContext,
): void {
  const probeIds = [...world.probes.keys()].sort((a, b) => a - b);
  store.transaction(() => {
    let hour = droppedHour;
    for (let room = BLOCKS_A_TURN; room > 0 && hour < countedHour - REACH_HOURS; ) {
      const some = probeIds.slice(under.probes, under.probes + room);
      store.journal.dropReadings(hour, some, (probeId, record) => measuredOf(record, probeId, world));
      room -= Math.max(1, some.length);
      under.probes += some.length;
      if (under.probes < probeIds.length) continue;
      under.probes = 0;
      hour++;
    }
    if (hour > droppedHour) store.horizon.set({ countedHour, droppedHour: hour });
  });
}

function measuredOf(record: ProbeRecord, probeId: number, world: World): ProbeRecord {
  const probe = world.probes.get(probeId);
  const place = probe?.placeId ? world.places.get(probe.placeId) : undefined;
  const maxGapMs = place?.settings.maxGapMs ?? DEFAULT_MAX_GAP_MS;
  return withoutLeftOut(record, { quantity: probe ? baseQuantity(probe) : null, maxGapMs });
}
