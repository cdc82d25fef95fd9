import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';

export type Exit = { readonly code: number | null; readonly signal: NodeJS.Signals | null };

export type Child = {
  readonly pid: number;
  /** everything it wrote so far */
  stdout(): string;
  stderr(): string;
  /** settles when it has ended */
  readonly exit: Promise<Exit>;
  hasEnded(): boolean;
  /** sends a signal and waits for the end; after 15 s it is killed and the call rejects */
  end(signal: NodeJS.Signals): Promise<Exit>;
};

export type ChildOptions = {
  readonly command: string;
  readonly args: readonly string[];
  readonly env: Readonly<Record<string, string>>;
  readonly cwd?: string;
};

const STOP_LIMIT_MS = 15_000;
const running = new Set<ChildProcess>();

process.once('exit', () => {
  for (const child of running) child.kill('SIGKILL');
});

/**
 * Starts a program and collects what it says; it never outlives the test process.
 *
 * @param options the program, its arguments, its whole environment and its folder
 * @returns the running program
 */
export function startChild(options: ChildOptions): Child {
  const child = spawn(options.command, options.args, {
    env: options.env,
    cwd: options.cwd,
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  running.add(child);
  const said = { stdout: '', stderr: '' };
  child.stdout.setEncoding('utf8').on('data', (text: string) => {
    said.stdout += text;
  });
  child.stderr.setEncoding('utf8').on('data', (text: string) => {
    said.stderr += text;
  });
  const { promise: exit, resolve } = Promise.withResolvers<Exit>();
  child.once('error', (error) => {
    said.stderr += `${error.message}\n`;
    resolve({ code: null, signal: null });
  });
  child.once('close', (code, signal) => resolve({ code, signal }));
  let ended = false;
  void exit.then(() => {
    ended = true;
    running.delete(child);
  });
  return {
    pid: child.pid ?? -1,
    stdout: () => said.stdout,
    stderr: () => said.stderr,
    exit,
    hasEnded: () => ended,
    end: (signal) => endChild({ child, exit, signal, hasEnded: () => ended }),
  };
}

type Ending = {
  readonly child: ChildProcess;
  readonly exit: Promise<Exit>;
  readonly signal: NodeJS.Signals;
  readonly hasEnded: () => boolean;
};

async function endChild({ child, exit, signal, hasEnded }: Ending): Promise<Exit> {
  if (hasEnded()) return exit;
  child.kill(signal);
  const timeout = AbortSignal.timeout(STOP_LIMIT_MS);
  const tooLate = once(timeout, 'abort').then(() => null);
  const result = await Promise.race([exit, tooLate]);
  if (result !== null) return result;
  child.kill('SIGKILL');
  throw new Error(`process ${child.pid} did not end within ${STOP_LIMIT_MS} ms of ${signal}`);
}

/**
 * Runs a program to its end.
 *
 * @param options the program, its arguments, its whole environment and its folder
 * @returns what it wrote to its standard output
 * @throws Error with its standard error when it fails
 */
export async function runChild(options: ChildOptions): Promise<string> {
  const child = startChild(options);
  const { code } = await child.exit;
  if (code !== 0) throw new Error(`${options.command} ended with ${code}: ${child.stderr()}`);
  return child.stdout();
}
