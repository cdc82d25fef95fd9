import { z } from 'zod';
import { ALARM_TRANSITIONS } from '../../../../shared/model/alarms/alarm.ts';
import { noticeSchema } from '../../../../shared/wire/people.ts';
import { alarmId as idOf } from '../../../domain/alarms/record.ts';
import { alarmRecordSchema, callingSchema } from './alarm-schema.ts';
import { bodyOf, count, id, json, jsonFault, line, oneOf, type RowCheck, text, timeMs } from './row-check.ts';
import { placeId } from './rows-places.ts';

const alarmId = line(200);

export const alarm: RowCheck = {
  key: ['id'],
  columns: { id: alarmId, place_id: placeId.nullable(), body: json(alarmRecordSchema) },
  whole(row) {
    const record = bodyOf(row, 'body', alarmRecordSchema);
    const same = record.id === row['id'] && record.placeId === row['place_id'] && idOf(record) === record.id;
    return same ? { row } : { leftOut: 'its id, place and rule do not belong together' };
  },
  copied: (row, { alarms }) => void alarms.add(String(row['id'])),
};

export const alarmEvent: RowCheck = {
  key: ['alarm_id', 'id'],
  columns: {
    id,
    alarm_id: alarmId,
    at_ms: timeMs,
    transition: oneOf(ALARM_TRANSITIONS),
    note: text(2_000).nullable(),
  },
};

export const calling: RowCheck = {
  key: ['alarm_id'],
  columns: { alarm_id: alarmId, body: json(callingSchema), look_again_ms: timeMs.nullable() },
};

export const outbox: RowCheck = {
  key: ['id', 'recipient'],
  columns: {
    id,
    message_key: line(300),
    channel: line(40),
    body: text(1_000_000),
    state: oneOf(['waiting', 'sent', 'abandoned']),
    attempts: count,
    created_ms: timeMs,
    next_at_ms: timeMs,
    last_error: text(4_000).nullable(),
    way_id: count,
    alarm_id: alarmId.nullable(),
    recipient: text(500),
    kind: line(100),
    sent_ms: timeMs.nullable(),
    priority: z.int('is no whole number').min(0, 'is no priority').max(2, 'is no priority'),
  },
  // what was sent is only listed; what waits is handed over as it is
  whole(row) {
    const fault = row['state'] === 'waiting' ? jsonFault(String(row['body']), noticeSchema) : null;
    return fault === null ? { row } : { leftOut: `body: ${fault}` };
  },
};
