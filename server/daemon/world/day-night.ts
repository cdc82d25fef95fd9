import type { Place } from '../../../shared/model/place.ts';
import { dayShareAt, type MovingHalf, movingDayNight } from '../../domain/calendar/ramp.ts';
import { type RecordContext, skyOf } from './records.ts';

const AHEAD_MS = 26 * 3_600_000;
/** Where the light probe decides, its word is asked for again after this long. */
const BY_LIGHT_MS = 60_000;

type Known = MovingHalf & { readonly history: unknown; readonly settings: unknown };

/** Day or night at a place, and how far bands have moved to those of day, 0…1. */
export type DayOrNight = { readonly night: boolean; readonly dayShare: number };

/** Day or night at a place at a moment, as its targets divide them; remembered until it turns. */
export function createDayNight(context: RecordContext) {
  const known = new Map<string, Known>();
  const halfAt = (place: Place, atMs: number): MovingHalf => {
    const targets = context.world.targets(place.id, atMs);
    const byLight = targets.dayBy?.kind === 'light';
    // light is known up to its last reading only
    const window = byLight ? { fromMs: atMs - 1, toMs: atMs } : { fromMs: atMs, toMs: atMs + AHEAD_MS };
    const [half] = movingDayNight({
      targets,
      ...window,
      zone: context.timeZone,
      sky: skyOf(place, context),
    });
    const found = half ?? { ...window, night: true, move: null };
    return byLight ? { ...found, toMs: atMs + BY_LIGHT_MS } : found;
  };
  const holding = (place: Place, atMs: number): MovingHalf => {
    const before = known.get(place.id);
    const history = context.world.history(place.id);
    const holds = before && before.history === history && before.settings === place.settings;
    if (holds && atMs >= before.fromMs && atMs < before.toMs) return before;
    const half = halfAt(place, atMs);
    // targets may change inside the half: a history of one entry cannot
    const toMs = history.length > 1 ? Math.min(half.toMs, atMs + BY_LIGHT_MS) : half.toMs;
    known.set(place.id, { ...half, toMs, history, settings: place.settings });
    return half;
  };
  return {
    at(place: Place, atMs: number): DayOrNight {
      const half = holding(place, atMs);
      return { night: half.night, dayShare: dayShareAt(half, atMs) };
    },
  };
}

export type DayNight = ReturnType<typeof createDayNight>;
