import type { Place } from '../../../shared/model/place.ts';
import { type ByMorning, learnByMorning, type NightHistory } from '../../domain/forecast/by-morning.ts';
import { STEP_MS } from '../../domain/forecast/history.ts';
import { NOTICE_DAYS } from '../../domain/forecast/notices.ts';
import type { Parts } from '../../ports.ts';
import type { RecordContext } from '../world/records.ts';
import { DAY_MS } from './day-steps.ts';
import type { CameOf } from './notices/counted.ts';
import { filmsDried } from './notices/film.ts';
import { nightAround } from './notices/floor.ts';
import type { Workbench } from './workbench.ts';

/** What the last weeks of a place say of its nights and of the film on its leaves, up to a midnight. */
type Outcome = {
  readonly midnightMs: number;
  readonly byMorning: ByMorning | null;
  readonly floorMs: readonly number[];
  /** by day, ms since epoch; each is read once */
  readonly filmMs: ReadonlyMap<number, readonly number[]>;
};

/** Learned once a day in parts: how root zones fell at night, and when films dried out before the next pulse. */
export function createOutcomes(context: RecordContext) {
  const kept = new Map<string, Outcome>();
  const cameOf: CameOf = (placeId, rule) => {
    const known = kept.get(placeId);
    if (!known) return null;
    const atMs = rule === 'root-floor-expected' ? known.floorMs : [...known.filmMs.values()].flat();
    return { untilMs: known.midnightMs, atMs: atMs.toSorted((a, b) => a - b) };
  };
  return {
    cameOf,
    byMorning: (placeId: string) => kept.get(placeId)?.byMorning ?? null,
    isKnown: ({ id }: Place, midnightMs: number) => kept.get(id)?.midnightMs === midnightMs,
    forgetGone() {
      for (const id of kept.keys()) if (!context.world.places.has(id)) kept.delete(id);
    },
    *learn(
      place: Place,
      { midnightMs, workbench }: { readonly midnightMs: number; readonly workbench: Workbench },
    ): Parts<void> {
      const history = yield* workbench.nights(midnightMs);
      // the night that is on at the evening of the new day: those before it lie whole days earlier
      const tonight =
        nightAround(place, midnightMs, context) ?? nightAround(place, midnightMs + DAY_MS / 2, context);
      const byMorning = history && tonight && learnByMorning(history, tonight);
      const floorMs = history ? floorCrossings(history, (tMs) => floorAt(place, tMs, context)) : [];
      yield;
      const filmMs = new Map<number, readonly number[]>();
      const known = kept.get(place.id)?.filmMs;
      const oldestMs = context.store.journal.oldestMs(context.world.probesOf(place.id).map(({ id }) => id));
      const firstMs = Math.max(midnightMs - NOTICE_DAYS * DAY_MS, oldestMs ?? midnightMs);
      for (let dayMs = midnightMs - DAY_MS; dayMs > firstMs - DAY_MS; dayMs -= DAY_MS) {
        filmMs.set(
          dayMs,
          known?.get(dayMs) ?? filmsDried(place, { fromMs: dayMs, toMs: dayMs + DAY_MS }, context),
        );
        yield;
      }
      kept.set(place.id, { midnightMs, byMorning, floorMs, filmMs });
    },
  };
}

function floorAt(place: Place, tMs: number, { world }: RecordContext): number {
  return world.targets(place.id, tMs).rootZone.night.lowC;
}

/** When a root zone fell below its floor, on the straight lines between steps, ms since epoch. */
function floorCrossings({ root, startMs }: NightHistory, floorOf: (tMs: number) => number): number[] {
  const found: number[] = [];
  for (let n = 1; n < root.length; n++) {
    const [from, to] = [root[n - 1] as number, root[n] as number];
    const floor = to < from ? floorOf(startMs + n * STEP_MS) : Number.NaN;
    if (from >= floor && to < floor) found.push(startMs + (n - 1 + (from - floor) / (from - to)) * STEP_MS);
  }
  return found;
}
