import type { AlarmRecord } from '../../domain/alarms/record.ts';
import type { World } from './world.ts';

/**
 * Whether an alarm is of the demo alone: it stays on the page, and neither people nor buzzers are notified. So is
 * that nobody watched, where there are only demo places to watch.
 */
export function isDemo({ placeId, rule }: Pick<AlarmRecord, 'placeId' | 'rule'>, { places }: World): boolean {
  if (placeId !== null) return places.get(placeId)?.invented ?? false;
  return rule === 'watch-was-down' && [...places.values()].every(({ invented }) => invented);
}
