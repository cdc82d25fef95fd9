import { openStore } from '../../../server/adapters/sqlite/store.ts';
import type { Hourly } from './sql.ts';

/** The hourly question to the record of a year, asked of a process that was just started and loads the store alone. */
const [, , question, file] = process.argv;
const MS_PER_HOUR = 3_600_000;
const EVER = { fromMs: 0, toMs: Date.UTC(2100, 0, 1) };
const startMs = performance.now();
const { journal } = openStore({ file: String(file), nowMs: 0 });

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
  const [record] = journal.window({ probeIds: [1], ...EVER });
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

const answer = hourly(question === 'summaries' ? journal.hours(1, EVER) : hoursOfReadings());
const endMs = performance.now();
console.log(JSON.stringify({ ...answer, tookMs: endMs - startMs, processMs: endMs }));
