import { seriesOf } from '../../../server/daemon/series.ts';
import { exposuresOver } from '../../../server/daemon/settle.ts';
import { MS_PER_HOUR } from '../../../shared/exposure/series.ts';
import { DAY_MS, openYear, placeOf, YEAR_START_MS } from './place.ts';
import type { Hourly } from './sql.ts';

/** One question to the record of a year, asked of a process that was just started. Plain, to load nothing else. */
const [, , question, file, days] = process.argv;
const startMs = performance.now();
const span = { fromMs: YEAR_START_MS, toMs: YEAR_START_MS + Number(days) * DAY_MS };
const opened = openYear(String(file), Number(days));
const { store, context } = opened;
const place = placeOf(opened);

function hourly(hours: Iterable<{ min: number; max: number }>): Hourly {
  const sums = { hours: 0, lowSum: 0, highSum: 0 };
  for (const { min, max } of hours) {
    sums.hours += 1;
    sums.lowSum += min;
    sums.highSum += max;
  }
  return sums;
}

type Hour = { hour: number; count: number; sum: number; min: number; max: number };

function hoursOfReadings(): Hour[] {
  const [record] = store.journal.window({ probeIds: [1], fromMs: span.fromMs, toMs: span.toMs - 1 });
  const hours: Hour[] = [];
  if (!record) return hours;
  let now: Hour = { hour: -1, count: 0, sum: 0, min: 0, max: 0 };
  for (let i = 0; i < record.timesMs.length; i += 1) {
    const hour = Math.floor((record.timesMs[i] as number) / MS_PER_HOUR);
    const value = record.values[i] as number;
    if (hour !== now.hour) {
      now = { hour, count: 0, sum: 0, min: value, max: value };
      hours.push(now);
    }
    now.count += 1;
    now.sum += value;
    if (value < now.min) now.min = value;
    if (value > now.max) now.max = value;
  }
  return hours;
}

const QUESTIONS: Readonly<Record<string, () => object>> = {
  chart: () => ({
    points: seriesOf(place, { ...span, quantity: 'airTemperatureC', points: 1000 }, context).points.length,
  }),
  exposures: () => ({ coveredHours: exposuresOver(place, span, context).air.coveredHours }),
  summaries: () => hourly(store.journal.hours(1, span)),
  readings: () => hourly(hoursOfReadings()),
};
const answer = QUESTIONS[String(question)]?.();
const endMs = performance.now();
console.log(JSON.stringify({ ...answer, tookMs: endMs - startMs, processMs: endMs }));
