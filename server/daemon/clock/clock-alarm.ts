import type { NewClockJump } from '../../../shared/model/clock.ts';
import { type AlarmStep, isActive } from '../../domain/alarms/record.ts';
import { installationStep, type Trouble } from '../notify/installation-alarm.ts';
import type { World } from '../world/world.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const DAY_MS = 24 * HOUR_MS;

/**
 * The alarm of a clock that was set, as it is now; over once the clock is steady.
 * @param jumps since the clock was steady
 * @returns null when nothing about it changed
 */
export function clockStep(
  world: World,
  { jumps, nowMs }: { readonly jumps: readonly NewClockJump[]; readonly nowMs: number },
): AlarmStep | null {
  // before there is a place a clock that is put right disturbs nobody
  if (world.places.size === 0) return null;
  const before = world.alarm({ placeId: null, rule: 'clock-jumped' });
  if (jumps.length === 0 && !isActive(before)) return null;
  return installationStep(world, { rule: 'clock-jumped', troubles: jumps.map(troubleOf), nowMs });
}

function troubleOf({ fromMs, toMs, byMs, exact }: NewClockJump): Trouble {
  const least = exact ? '' : 'at least ';
  return {
    what: `this computer's clock is ${least}${spanWords(byMs)} ${byMs > 0 ? 'ahead' : 'behind'}`,
    sinceMs: toMs,
    detail: `it went from ${iso(fromMs)} to ${iso(toMs)}`,
  };
}

/** A span in the two largest of days, hours and minutes. */
function spanWords(ms: number): string {
  const size = Math.abs(ms);
  if (size >= DAY_MS) return joined([Math.floor(size / DAY_MS), 'days'], [(size % DAY_MS) / HOUR_MS, 'h']);
  if (size >= HOUR_MS)
    return joined([Math.floor(size / HOUR_MS), 'h'], [(size % HOUR_MS) / MINUTE_MS, 'min']);
  return `${Math.round(size / MINUTE_MS)} min`;
}

type Part = readonly [number, string];

function joined([most, mostUnit]: Part, [rest, restUnit]: Part): string {
  const left = Math.floor(rest);
  const unit = most === 1 && mostUnit === 'days' ? 'day' : mostUnit;
  return left === 0 ? `${most} ${unit}` : `${most} ${unit} ${left} ${restUnit}`;
}

function iso(ms: number): string {
  return `${new Date(ms).toISOString().slice(0, 16)}Z`;
}
