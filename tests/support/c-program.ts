import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { plainEnvironment, toolPath } from './environment.ts';
import { temporaryFolder } from './folders.ts';

const REFERENCE = fileURLToPath(new URL('../../firmware-contracts/reference/', import.meta.url));
const SUPPORT = fileURLToPath(new URL('./', import.meta.url));
const STRICT = ['-std=c99', '-Wall', '-Wextra', '-Werror', '-pedantic'];
const SANITIZE = ['-fsanitize=address,undefined', '-fno-sanitize-recover=all'];

/**
 * Compiles a C program with every warning an error, and the sanitizers for addresses and undefined behaviour.
 *
 * @param program sources of `firmware-contracts/reference`, one of `tests/support` beside them, and libraries
 * @returns the file of the program
 * @throws Error with what the compiler said
 */
export function compiled(program: {
  readonly reference: readonly string[];
  readonly support?: string;
  readonly libraries?: readonly string[];
}): string {
  const { reference, support, libraries = [] } = program;
  const file = join(temporaryFolder('c'), 'program');
  const sources = [
    ...reference.map((name) => REFERENCE + name),
    ...(support === undefined ? [] : [SUPPORT + support]),
  ];
  const args = [...STRICT, ...SANITIZE, '-I', REFERENCE, ...sources, ...libraries, '-o', file];
  const made = spawnSync(toolPath('cc'), args, { encoding: 'utf8', env: plainEnvironment() });
  if (made.status !== 0) throw new Error(made.stderr);
  return file;
}

/**
 * Runs a program on some lines.
 *
 * @returns the lines of its answer
 * @throws Error with its standard error when it fails
 */
export function answersOf(run: {
  readonly file: string;
  readonly args: readonly string[];
  readonly lines: readonly string[];
}): string[] {
  const input = run.lines.map((line) => `${line}\n`).join('');
  const limit = 256 * 1024 * 1024;
  const ran = spawnSync(run.file, run.args, {
    input,
    encoding: 'utf8',
    maxBuffer: limit,
    env: plainEnvironment(),
  });
  if (ran.status !== 0) throw new Error(`${run.file} ended with ${ran.status}: ${ran.stderr}`);
  return ran.stdout.trimEnd().split('\n');
}
