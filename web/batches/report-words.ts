import type { ReportedAlarm, WorstHour } from '../../shared/wire/cuttings/report.ts';
import { EXCURSION_NAMES, peakWords } from '../../shared/words/night-row.ts';
import { duration, type Reader } from '../../shared/words/plain.ts';
import { moment } from './words.ts';

const MS_PER_MINUTE = 60_000;

/** What was beyond its limit within an hour: `air over its ceiling for 42 min, 33.1 °C; air too dry …`. */
export function worstHourWords({ kinds }: Pick<WorstHour, 'kinds'>, reader: Reader): string {
  return kinds
    .map(({ kind, minutes, peak, unit }) => {
      const lasts = `${EXCURSION_NAMES[kind].name} for ${duration(minutes * MS_PER_MINUTE)}`;
      const furthest = peakWords({ peak, unit }, reader);
      return furthest === null ? lasts : `${lasts}, ${furthest}`;
    })
    .join('; ');
}

/** `29 Nov, 14:03: air over its ceiling, acknowledged by Ada 29 Nov, 14:07, over 29 Nov, 14:40.` */
export function reportedAlarmWords(alarm: ReportedAlarm, reader: Reader): string {
  const { name, raised, acknowledged, acknowledgedBy, returned } = alarm;
  const by = acknowledgedBy === null ? '' : ` by ${acknowledgedBy}`;
  const answer =
    acknowledged === null ? 'nobody acknowledged it' : `acknowledged${by} ${moment(acknowledged, reader)}`;
  const end = returned === null ? 'still active' : `over ${moment(returned, reader)}`;
  return `${moment(raised, reader)}: ${name}, ${answer}, ${end}.`;
}
