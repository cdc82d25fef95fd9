import type { Alarm } from '../../../shared/model/alarms/alarm.ts';
import type { PlaceSummary } from '../../../shared/wire/http.ts';
import { type AlarmRecord, isActive } from '../../domain/alarms/record.ts';
import { viewOf } from '../world/world-view.ts';
import { type QueryContext, summary } from './present.ts';

/** Most places and alarms of one part: some 200 kB together, made in a few milliseconds. */
export const PART = { places: 50, alarms: 200 };

type StatePart = {
  readonly places: readonly PlaceSummary[];
  readonly alarms: readonly Alarm[];
  readonly more: boolean;
};

const PRIORITY = { high: 0, medium: 1, low: 2 } as const;
const INACTIVE = 3;

/**
 * The state of all places and alarms, a part at a time, each as it is when it is asked for: places with alarms that are
 * active come first, and so do those alarms.
 */
export function* inParts(context: QueryContext): Generator<StatePart, void> {
  const { world } = context;
  const records = [...world.alarms.values()].filter(({ raisedAtMs }) => raisedAtMs !== null);
  const rankOf = (record: AlarmRecord) => (isActive(record) ? PRIORITY[record.priority] : INACTIVE);
  const worst = new Map<string, number>();
  for (const record of records) {
    if (record.placeId === null) continue;
    worst.set(record.placeId, Math.min(rankOf(record), worst.get(record.placeId) ?? INACTIVE));
  }
  const placeRank = (placeId: string) => worst.get(placeId) ?? INACTIVE;
  const placeIds = [...world.places.keys()].toSorted((a, b) => placeRank(a) - placeRank(b));
  const alarmIds = records.toSorted((a, b) => rankOf(a) - rankOf(b)).map(({ id }) => id);
  const parts = Math.max(
    1,
    Math.ceil(placeIds.length / PART.places),
    Math.ceil(alarmIds.length / PART.alarms),
  );
  for (let part = 0; part < parts; part++) {
    const [fromPlace, fromAlarm] = [part * PART.places, part * PART.alarms];
    // some may be gone by now
    const places = placeIds
      .slice(fromPlace, fromPlace + PART.places)
      .flatMap((id) => world.places.get(id) ?? [])
      .map((place) => summary(place, context));
    const alarms = alarmIds
      .slice(fromAlarm, fromAlarm + PART.alarms)
      .flatMap((id) => world.alarms.get(id) ?? [])
      .map((record) => viewOf(record, world));
    yield { places, alarms, more: part + 1 < parts };
  }
}
