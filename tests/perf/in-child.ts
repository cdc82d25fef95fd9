import { fileURLToPath } from 'node:url';
import type { z } from 'zod';
import { startedLeanly } from '../../server/lean-memory.ts';
import { runChild } from '../support/child.ts';
import { plainEnvironment } from '../support/environment.ts';

/**
 * Runs one of the programs beside this file in a process of its own, cold and with counters of its own.
 *
 * @param program its file
 * @param args what it is given, as JSON
 * @param answers what it writes
 */
export async function inChild<T>(program: string, args: object, answers: z.ZodType<T>): Promise<T> {
  return answers.parse(JSON.parse(await runProgram(program, [JSON.stringify(args)])));
}

/**
 * Runs one of the programs beside this file as the daemon runs: what it writes.
 *
 * @param program its file
 * @param args its arguments
 */
export async function runProgram(program: string, args: readonly string[]): Promise<string> {
  const [file, likeDaemon] = [program, 'like-daemon.js'].map((path) =>
    fileURLToPath(new URL(path, import.meta.url)),
  ) as [string, string];
  return await runChild({
    command: process.execPath,
    ...startedLeanly(['--import', likeDaemon, file, ...args], plainEnvironment()),
  });
}

/**
 * The other side of `inChild`: works on what the program was given and writes the answer.
 *
 * @param told what it expects to be given
 * @param work gives the answer
 */
export async function answer<T>(
  schema: z.ZodType<T>,
  work: (args: T) => object | Promise<object>,
): Promise<void> {
  const args = schema.parse(JSON.parse(process.argv[2] ?? 'null'));
  console.log(JSON.stringify(await work(args)));
  process.exit(0);
}
