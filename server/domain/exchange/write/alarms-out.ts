import type { AlarmEvent } from '../../../../shared/model/alarms/alarm.ts';
import type { AlarmPriority, AlarmRule } from '../../../../shared/rules/rules.ts';
import { csvLine } from './csv-write.ts';

/** Something that happened to an alarm, with the alarm's own facts beside it. */
export type AlarmLine = AlarmEvent & {
  readonly placeId: string;
  readonly placeName: string;
  readonly rule: AlarmRule;
  readonly priority: AlarmPriority;
};

/** Alarms as they are exported to CSV: one event a row. Names and notes are free texts, and guarded. */
export const CSV_ALARMS = {
  header: (): string =>
    csvLine(['time', 'placeId', 'placeName', 'alarmId', 'rule', 'priority', 'transition', 'note']),
  row: (line: AlarmLine): string => csvLine(Object.values(alarmFields(line))),
};

/** One event as a line of NDJSON. */
export function alarmNdjson(line: AlarmLine): string {
  return `${JSON.stringify(alarmFields(line))}\n`;
}

function alarmFields({ atMs, placeId, placeName, alarmId, rule, priority, transition, note }: AlarmLine) {
  return {
    time: new Date(atMs).toISOString(),
    placeId,
    placeName,
    alarmId,
    rule,
    priority,
    transition,
    note,
  };
}
