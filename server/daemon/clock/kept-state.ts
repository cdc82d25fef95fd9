import type { NewClockJump } from '../../../shared/model/clock.ts';
import type { ClockReading, ClockState, Era } from '../../domain/clock/steadiness.ts';

/** What a note says of the clock; null where there is none, or one that another version wrote. */
export function readState(text: string | null): ClockState | null {
  if (text === null) return null;
  try {
    const kept: unknown = JSON.parse(text);
    return isState(kept) ? kept : null;
  } catch {
    return null;
  }
}

function isState(kept: unknown): kept is ClockState {
  if (!hasNumbers<ClockState>(kept, ['calmMs', 'pausedMs', 'keepAllMs'])) return false;
  const { look: reading, eras, jumps } = kept;
  if (!isClockReading(reading) || !Array.isArray(eras) || !Array.isArray(jumps)) return false;
  return eras.length > 0 && eras.every(isEra) && jumps.every(isJump);
}

function isClockReading(kept: unknown): kept is ClockReading {
  return hasNumbers<ClockReading>(kept, ['wallMs', 'elapsedMs']) && typeof kept.bootId === 'string';
}

function isEra(kept: unknown): kept is Era {
  if (!hasNumbers<Era>(kept, ['lastWallMs'])) return false;
  const { first, afterGroup, steady } = kept;
  return (
    isClockReading(first) &&
    (afterGroup === null || Number.isFinite(afterGroup)) &&
    typeof steady === 'boolean'
  );
}

function isJump(kept: unknown): kept is NewClockJump {
  return hasNumbers<NewClockJump>(kept, ['fromMs', 'toMs', 'byMs']) && typeof kept.exact === 'boolean';
}

function hasNumbers<T>(kept: unknown, names: readonly (keyof T & string)[]): kept is Partial<T> {
  if (typeof kept !== 'object' || kept === null) return false;
  const fields = new Map(Object.entries(kept));
  return names.every((name) => Number.isFinite(fields.get(name)));
}
