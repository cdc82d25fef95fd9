import { readdirSync, readFileSync } from 'node:fs';

type Process = { readonly pid: number; readonly parent: number; readonly args: readonly string[] };

/**
 * The process that a shell, and npm within it, started in the end for a script.
 *
 * @param search process id of the shell, and the script's path as it was typed
 * @returns its process id
 * @throws Error when no such process runs below the shell
 */
export function descendantRunning(search: { readonly of: number; readonly script: string }): number {
  const all = readdirSync('/proc')
    .filter((name) => /^\d+$/.test(name))
    .flatMap(readProcess);
  const below = (parent: number): Process[] =>
    all.filter((one) => one.parent === parent).flatMap((one) => [one, ...below(one.pid)]);
  // started a second time in its own place, it has the whole path
  const isScript = (arg: string): boolean => arg === search.script || arg.endsWith(`/${search.script}`);
  // npm's shell has the script within one argument, the daemon as an argument of its own.
  const found = below(search.of).find(({ args }) => args.some(isScript));
  if (found === undefined) throw new Error(`nothing below process ${search.of} runs ${search.script}`);
  return found.pid;
}

/** A process may end while the list is read. */
function readProcess(pid: string): Process[] {
  try {
    const status = readFileSync(`/proc/${pid}/status`, 'utf8');
    const args = readFileSync(`/proc/${pid}/cmdline`, 'utf8').split('\0');
    return [{ pid: Number(pid), parent: Number(/^PPid:\s*(\d+)/m.exec(status)?.[1]), args }];
  } catch {
    return [];
  }
}
