import { fileURLToPath } from 'node:url';
import type { z } from 'zod';
import { runChild } from '../support/child.ts';
import { plainEnvironment } from '../support/environment.ts';

/**
 * Runs one of the programs beside this file in a process of its own, cold and with counters of its own.
 *
 * @param program its file
 * @param args what it is told, as JSON
 * @param answers what it writes
 */
export async function inChild<T>(program: string, args: object, answers: z.ZodType<T>): Promise<T> {
  const [file, leanHeap] = [program, '../../server/lean-heap.js'].map((path) =>
    fileURLToPath(new URL(path, import.meta.url)),
  ) as [string, string];
  const said = await runChild({
    command: process.execPath,
    // as the daemon starts
    args: ['--import', leanHeap, file, JSON.stringify(args)],
    env: plainEnvironment(),
  });
  return answers.parse(JSON.parse(said));
}

/**
 * The other side of `inChild`: works on what the program was told and writes the answer.
 *
 * @param told what it expects to be told
 * @param work gives the answer
 */
export async function answer<T>(
  told: z.ZodType<T>,
  work: (args: T) => object | Promise<object>,
): Promise<void> {
  const args = told.parse(JSON.parse(process.argv[2] ?? 'null'));
  console.log(JSON.stringify(await work(args)));
  process.exit(0);
}
