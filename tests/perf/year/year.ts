import { statSync } from 'node:fs';
import { join } from 'node:path';
import { z } from 'zod';
import { runChild } from '../../support/child.ts';
import { plainEnvironment } from '../../support/environment.ts';
import { removeFolder, temporaryFolder } from '../../support/folders.ts';
import { type Figure, quantile } from '../figure.ts';
import { inChild, runProgram } from '../in-child.ts';
import type { Sizes } from '../sizes.ts';
import { STEP_MS } from '../workload.ts';
import { DAY_MS, DUCKDB_FILE, RECORD_FILE, TABLE_FILE } from './place.ts';

type Year = { readonly folder: string; readonly sizes: Sizes; readonly words: string };

/** A place's record of a year, asked cold and warm, beside a plain table and DuckDB with one probe of the same data. */
export async function yearOfOneProbe(sizes: Sizes): Promise<Figure[]> {
  const folder = temporaryFolder('year');
  const { yearDays: days, seed } = sizes;
  const made = await inChild('year/make.ts', { folder, days, seed }, z.object({ settledHours: z.number() }));
  if (made.settledHours < days * 24) throw new Error(`only ${made.settledHours} hours were settled`);
  const year = { folder, sizes, words: `${days} days at 10 s` };
  const figures = [...filesOf(year), ...(await cold(year)), ...(await warm(year))];
  removeFolder(folder);
  return figures;
}

function filesOf({ folder, sizes, words }: Year): Figure[] {
  const readings = (sizes.yearDays * DAY_MS) / STEP_MS;
  const perReading = (file: string, probes: number) => statSync(join(folder, file)).size / probes / readings;
  const rivals = { 'a plain table': perReading(TABLE_FILE, 1), DuckDB: perReading(DUCKDB_FILE, 1) };
  return Object.entries(rivals).map(([name, value]) => ({
    name: `${words}, file, exposures settled`,
    value: perReading(RECORD_FILE, 4),
    unit: 'B/reading',
    of: { name, value },
  }));
}

const askedSchema = z.object({
  tookMs: z.number(),
  processMs: z.number(),
  hours: z.number().optional(),
  lowSum: z.number().optional(),
  highSum: z.number().optional(),
});
type TimedAnswer = z.infer<typeof askedSchema>;

/** Each question in a process of its own, in turns, with the file still in the memory of the system and without. */
async function cold({ folder, sizes, words }: Year): Promise<Figure[]> {
  const ours = (program: string, question: string) => [program, join(folder, RECORD_FILE), question];
  const questions = {
    chart: ours('cold.ts', 'chart'),
    exposures: ours('cold.ts', 'exposures'),
    summaries: ours('cold-hours.ts', 'summaries'),
    readings: ours('cold-hours.ts', 'readings'),
    table: ['cold-table.ts', join(folder, TABLE_FILE)],
    duckdb: ['cold-duckdb.ts', join(folder, DUCKDB_FILE)],
  };
  type Question = keyof typeof questions;
  const names = Object.keys(questions) as Question[];
  const figures: Figure[] = [];
  for (const state of ['cold process', 'cold process and disk'] as const) {
    const asked = Object.fromEntries(names.map((name) => [name, [] as TimedAnswer[]])) as Record<
      Question,
      TimedAnswer[]
    >;
    // the first round, not counted, leaves what node compiled for the others, as any start of the daemon does
    for (let round = 0; round <= sizes.coldRounds; round += 1) {
      for (const name of names) {
        const [program, file, question] = questions[name] as [string, string, string?];
        if (state === 'cold process and disk') await dropFromMemory(file);
        const answer = await ask(program, { file, question, days: sizes.yearDays });
        if (round > 0) asked[name].push(answer);
      }
    }
    checkSame([...asked.readings, ...asked.summaries, ...asked.table, ...asked.duckdb]);
    const ms = (name: Question, what: 'tookMs' | 'processMs') =>
      quantile(
        asked[name].map((one) => one[what]),
        0.5,
      );
    const against = (name: Question, rival: 'table' | 'duckdb', order: string): Figure => ({
      name: `${words}, hourly min, mean and max, ${order}, ${state}`,
      value: ms(name, 'tookMs'),
      unit: 'ms',
      of: { name: rival === 'table' ? 'a plain table' : 'DuckDB', value: ms(rival, 'tookMs') },
    });
    const withStart = (name: Question, order: string): Figure => ({
      ...against(name, 'duckdb', `${order}, with the start of the process`),
      value: ms(name, 'processMs'),
      of: { name: 'DuckDB', value: ms('duckdb', 'processMs') },
    });
    const alone = (name: Question, order: string): Figure[] => [
      { name: `${words}, ${order}, ${state}`, value: ms(name, 'tookMs'), unit: 'ms' },
      { name: `${words}, ${order}, ${state}, with its start`, value: ms(name, 'processMs'), unit: 'ms' },
    ];
    figures.push(
      ...alone('chart', 'chart of 1,000 points'),
      ...alone('exposures', 'exposures of the place'),
      against('summaries', 'duckdb', 'from the hours'),
      against('readings', 'duckdb', 'from every reading'),
      against('readings', 'table', 'from every reading'),
      withStart('summaries', 'from the hours'),
      withStart('readings', 'from every reading'),
    );
  }
  return figures;
}

type Ask = { readonly file: string; readonly question: string | undefined; readonly days: number };

async function ask(program: string, { file, question, days }: Ask): Promise<TimedAnswer> {
  const order = question === undefined ? [file] : [question, file, String(days)];
  return askedSchema.parse(JSON.parse(await runProgram(`year/${program}`, order)));
}

/** All must have found the same hours, or they did not do the same work; sums of thousands round. */
function checkSame(answers: readonly TimedAnswer[]): void {
  const [first] = answers;
  for (const key of ['hours', 'lowSum', 'highSum'] as const) {
    const wanted = first?.[key] ?? Number.NaN;
    for (const answer of answers)
      if (!(Math.abs((answer[key] ?? Number.NaN) - wanted) < 1e-6)) throw new Error(`${key} differ`);
  }
}

/** Asks the system to forget what it holds of a file in memory. */
async function dropFromMemory(file: string): Promise<void> {
  const env = plainEnvironment();
  await runChild({ command: 'sync', args: [file], env });
  await runChild({ command: 'dd', args: [`if=${file}`, 'iflag=nocache', 'count=0', 'status=none'], env });
}

const warmSchema = z.object({
  exposuresMs: z.number(),
  readMs: z.number(),
  decodeMs: z.number(),
  readings: z.number(),
  countedMs: z.number(),
  monthDays: z.number(),
  monthSettledMs: z.number(),
  equal: z.boolean(),
});

async function warm({ folder, sizes, words }: Year): Promise<Figure[]> {
  const order = { file: join(folder, RECORD_FILE), days: sizes.yearDays, rounds: sizes.warmRounds };
  const measured = await inChild('year/warm.ts', order, warmSchema);
  if (!measured.equal) throw new Error('settled hours do not come to what the readings come to');
  const { exposuresMs, readMs, decodeMs, readings, countedMs, monthDays, monthSettledMs } = measured;
  return [
    { name: `${words}, exposures of the place, warm`, value: exposuresMs, unit: 'ms' },
    {
      name: `${words}, exposures of ${monthDays} days, from settled hours`,
      value: monthSettledMs,
      unit: 'ms',
      of: { name: 'the equal ones from the readings', value: countedMs },
    },
    {
      name: `${words}, every reading out of the file, warm`,
      value: readings / readMs / 1000,
      unit: 'M readings/s',
    },
    {
      name: `${words}, every reading decoded, warm`,
      value: readings / decodeMs / 1000,
      unit: 'M readings/s',
    },
  ];
}
