import { fileURLToPath } from 'node:url';
import { startChild } from './child.ts';
import { plainEnvironment } from './environment.ts';

export const LAUNCHER = fileURLToPath(new URL('../../server/launch.js', import.meta.url));

export type Ended = { readonly code: number | null; readonly stdout: string; readonly stderr: string };

/**
 * Runs one command of the command line to its end.
 *
 * @param args the command and its words
 * @param settings what stands in its environment
 * @returns its exit code and all it said
 */
export async function runCommand(
  args: readonly string[],
  settings: Readonly<Record<string, string>>,
): Promise<Ended> {
  const child = startChild({
    command: process.execPath,
    args: [LAUNCHER, ...args],
    env: plainEnvironment(settings),
  });
  const { code } = await child.exit;
  return { code, stdout: child.stdout(), stderr: child.stderr() };
}
