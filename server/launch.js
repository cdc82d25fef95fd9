#!/usr/bin/env node
import { nodeComplaint } from './node-version.js';

const complaint = nodeComplaint(process.versions.node);
if (complaint === null) {
  void launch(process.argv.slice(2));
} else {
  console.error(complaint);
  process.exit(2);
}

/** Readies the page for the commands that serve it, then hands over to the daemon. */
async function launch(argv) {
  const [command, ...rest] = argv;
  const { enableCompileCache } = await import('node:module');
  enableCompileCache();
  if (command === 'serve' || command === 'demo') await startAgainLeanly();
  if (['serve', 'demo', 'dev'].includes(command)) await preparePage({ watch: command === 'dev' });
  const { main } = await import('./main.ts');
  await main(command === 'dev' ? ['serve', ...rest] : argv);
}

/** Whatever page there is, the daemon starts: what it watches matters more. */
async function preparePage({ watch }) {
  const { readyPage, watchPage } = await import('./page.ts');
  const warning = readyPage();
  if (warning !== null) console.error(warning);
  if (watch) watchPage();
}

/** Starts this program once more, in the place of this process: what keeps memory small is read at a start only. */
async function startAgainLeanly() {
  const { LEAN_FLAGS, startedLeanly } = await import('./lean-memory.ts');
  if (process.execve === undefined || LEAN_FLAGS.every((flag) => process.execArgv.includes(flag))) return;
  const { args, env } = startedLeanly([...process.execArgv, ...process.argv.slice(1)], process.env);
  process.execve(process.execPath, [process.execPath, ...args], env);
}
