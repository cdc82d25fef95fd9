import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, statfsSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { nodeComplaint } from '../../server/node-version.js';

const root = fileURLToPath(new URL('../..', import.meta.url));
const ROOM_IN_MEMORY_BYTES = 4 * 1024 ** 3;
const totalsFile = `${root}tests/.artefacts/totals.json`;

const complaint = nodeComplaint(process.versions.node);
if (complaint === null) {
  void runTests(process.argv.slice(2)).then((exitCode) => process.exit(exitCode));
} else {
  console.error(complaint);
  process.exit(2);
}

async function runTests(filters) {
  const tools = await ready();
  if (tools === null) return 2;
  mkdirSync(`${root}tests/.artefacts`, { recursive: true });
  rmSync(totalsFile, { force: true });
  const vitest = [`${root}node_modules/vitest/vitest.mjs`, 'run', '--config', 'tests/vitest.config.ts'];
  // workers are ended hard: what they leave behind goes with the folder they were given
  const temporary = mkdtempSync(join(tmpdir(), 'strikewell-tests-'));
  const inMemory = mkdtempSync(join(memoryFolder() ?? tmpdir(), 'strikewell-tests-'));
  const run = spawnSync(process.execPath, [...vitest, ...filters], {
    cwd: root,
    stdio: 'inherit',
    env: { ...process.env, ...tools, TMPDIR: temporary, STRIKEWELL_TESTS_IN_MEMORY: inMemory },
  });
  for (const folder of [temporary, inMemory]) rmSync(folder, { recursive: true, force: true, maxRetries: 5 });
  return sayTotals({ exitCode: run.status === null ? 1 : run.status, filtered: filters.length > 0 });
}

/** Where files lie in memory and there is room for them: units and most journeys open hundreds of records there. */
function memoryFolder() {
  const folder = '/dev/shm';
  if (!existsSync(folder)) return null;
  const { bavail, bsize } = statfsSync(folder);
  return bavail * bsize >= ROOM_IN_MEMORY_BYTES ? folder : null;
}

async function ready() {
  const { readyTools } = await import('./tools.js');
  const { readyPage } = await import('../../server/page.ts');
  try {
    const tools = readyTools();
    const warning = readyPage();
    if (warning !== null) throw new Error(warning);
    return tools;
  } catch (error) {
    console.error(error.message);
    return null;
  }
}

/** A test left out of a whole run is a failure of the run, whatever vitest makes of it. */
function sayTotals({ exitCode, filtered }) {
  if (!existsSync(totalsFile)) {
    console.error('the test run ended before its totals were known');
    return exitCode || 1;
  }
  const { passed, failed, leftOut } = JSON.parse(readFileSync(totalsFile, 'utf8'));
  if (leftOut > 0 && !filtered) console.log(`${leftOut} left out`);
  console.log(`${passed} passed, ${failed} failed`);
  return exitCode || (failed > 0 || (leftOut > 0 && !filtered) ? 1 : 0);
}
