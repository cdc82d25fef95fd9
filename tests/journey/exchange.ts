import { readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { BACK_CADENCE_MS, BACK_RECORD_MS, startDemo, stepDemo } from '../../server/domain/demo/demo.ts';
import { BENCH_DEVICE } from '../../server/domain/demo/scenario.ts';
import { type Child, startChild } from '../support/child.ts';
import { plainEnvironment } from '../support/environment.ts';

const launcher = fileURLToPath(new URL('../../server/launch.js', import.meta.url));

type Environment = Readonly<Record<string, string>>;

/** Starts a command of the command line. */
export function startCommand(args: readonly string[], env: Environment): Child {
  return startChild({ command: process.execPath, args: [launcher, ...args], env: plainEnvironment(env) });
}

/**
 * Runs a command of the command line to its end.
 *
 * @param args its name, words and options
 * @param env settings
 * @returns its exit code and what it wrote
 */
export async function run(args: readonly string[], env: Environment) {
  const child = startCommand(args, env);
  const { code } = await child.exit;
  return { code, stdout: child.stdout(), stderr: child.stderr() };
}

/** How often the kernel is asked for the most memory a process had resident, ms. */
const CHECK_EVERY_MS = 5;

/**
 * Runs a command to its end and looks at its memory: the kernel keeps the most it ever had resident, VmHWM.
 *
 * @param args its name, words and options
 * @param env settings
 * @returns its exit code and the last peak seen, KiB
 */
export async function peakKibOf(args: readonly string[], env: Environment) {
  const child = startCommand(args, env);
  let peakKib = 0;
  const check = setInterval(() => {
    try {
      const status = readFileSync(`/proc/${child.pid}/status`, 'utf8');
      peakKib = Math.max(peakKib, Number(/^VmHWM:\s*(\d+)/m.exec(status)?.[1] ?? 0));
    } catch {
      // it has ended since
    }
  }, CHECK_EVERY_MS);
  const { code } = await child.exit;
  clearInterval(check);
  return { code, peakKib };
}

/**
 * Writes the back record of the demo's mist bench as a file of SenML packs, one a line.
 *
 * @param path where it goes
 * @returns the file, its device, when it ends, and what it holds
 */
export function demoFile(path: string) {
  const endMs = Date.UTC(2026, 5, 1, 12);
  let state = startDemo({ seed: 7, anchorMs: endMs, utcOffsetMs: 0, backRecordMs: BACK_RECORD_MS });
  const lines: string[] = [];
  let readings = 0;
  while (state.tMs < endMs) {
    const next = stepDemo(state, { toMs: endMs, cadenceMs: BACK_CADENCE_MS });
    state = next.state;
    for (const { records } of next.packs.filter(({ device }) => device === BENCH_DEVICE)) {
      lines.push(JSON.stringify(records));
      readings += records.length;
    }
  }
  writeFileSync(path, `${lines.join('\n')}\n`);
  return { path, device: BENCH_DEVICE, endMs, packs: lines.length, readings };
}
