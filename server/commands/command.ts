import type { ParseArgsConfig } from 'node:util';
import type { Fault } from '../../shared/faults.ts';
import type { Settings } from '../config.ts';

/** What a command was given: its own options, and the words after its name. */
export type Given = {
  readonly values: Readonly<Record<string, string | boolean | undefined>>;
  readonly words: readonly string[];
  readonly settings: Settings;
  /** writes to standard output */
  readonly say: (line: string) => void;
  /** writes to the standard error stream: progress, what goes beside an answer */
  readonly note: (line: string) => void;
};

/** A command that goes on. `broken` settles when it had to end by itself, in good order, and says why. */
export type Running = { readonly stop: () => Promise<void>; readonly broken?: Promise<Fault> };

/**
 * One command of the command line. `run` returns the exit code, or null when the command goes on until a
 * signal; then `stop` ends it in good order.
 */
export type Command = {
  readonly summary: string;
  readonly usage: string;
  readonly options: NonNullable<ParseArgsConfig['options']>;
  /** true where what it writes is the user's to pass on: made as the user makes files, not readable by the user alone */
  readonly forOthers?: true;
  /** true where it goes on until a signal, whoever reads what it says */
  readonly goesOn?: true;
  run(given: Given): Promise<{ readonly code: number } | Running>;
};
