import type { Alarm } from '../../../shared/model/alarms/alarm.ts';
import { type AlarmRecord, isActive } from '../../domain/alarms/record.ts';
import { alarmView } from '../../domain/alarms/view.ts';
import type { World } from './world.ts';

/** How an alarm of the installation itself is named. */
const HOUSE_NAME = 'System';

/** The alarm as others see it, with its place's name. */
export function viewOf(record: AlarmRecord, world: World): Alarm {
  const { placeId, id, raisedAtMs } = record;
  const view = alarmView(
    record,
    placeId === null ? HOUSE_NAME : (world.places.get(placeId)?.name ?? placeId),
  );
  const judged = isActive(record) ? world.causes.get(id) : undefined;
  return judged?.raisedAtMs === raisedAtMs ? { ...view, cause: judged.cause } : view;
}
