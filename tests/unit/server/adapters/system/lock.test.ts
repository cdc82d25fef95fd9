import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { lockDataDir, lockHolder } from '../../../../../server/adapters/system/lock.ts';
import { startChild } from '../../../../support/child.ts';
import { plainEnvironment } from '../../../../support/environment.ts';
import { temporaryFolder } from '../../../../support/folders.ts';
import { until } from '../../../../support/wait.ts';

const lockModule = new URL('../../../../../server/adapters/system/lock.ts', import.meta.url).href;

/** Another process that holds the folder until it is ended. */
async function holder(folder: string) {
  const code = `import { lockDataDir } from ${JSON.stringify(lockModule)};
    lockDataDir(${JSON.stringify(folder)}); console.log('held'); setInterval(() => undefined, 1000);`;
  const args = ['--input-type=module', '-e', code];
  const child = startChild({ command: process.execPath, args, env: plainEnvironment() });
  await until(() => (child.stdout().includes('held') ? true : null), { what: 'lock', withinMs: 10_000 });
  return child;
}

test('a folder held by another living process is refused with data-dir-in-use and its number, and free after its death', async () => {
  const folder = temporaryFolder('lock');
  const other = await holder(folder);
  expect(lockHolder(folder)).toBe(other.pid);
  let fault: unknown = null;
  try {
    lockDataDir(folder);
  } catch (cause) {
    fault = cause;
  }
  expect(fault).toMatchObject({ code: 'data-dir-in-use', details: { pid: other.pid } });
  await other.end('SIGKILL');
  expect(existsSync(join(folder, 'strikewell.lock'))).toBe(true);
  expect(lockHolder(folder)).toBeNull();
  lockDataDir(folder).release();
  expect(existsSync(join(folder, 'strikewell.lock'))).toBe(false);
});

test('a lock of another boot, of another process under the same number, or of cut-off text is stale', async () => {
  const folder = temporaryFolder('lock');
  const file = join(folder, 'strikewell.lock');
  const other = await holder(folder);
  const held: object = JSON.parse(readFileSync(file, 'utf8'));
  for (const change of [{ bootId: 'another' }, { startedTicks: '1' }]) {
    writeFileSync(file, JSON.stringify({ ...held, ...change }));
    expect(lockHolder(folder)).toBeNull();
  }
  for (const text of ['', '{"pid":', 'null', '{"pid":-1}']) {
    writeFileSync(file, text);
    expect(lockHolder(folder)).toBeNull();
    lockDataDir(folder).release();
  }
  await other.end('SIGKILL');
});

test('a release leaves the lock of whoever took the folder since', () => {
  const folder = temporaryFolder('lock');
  const file = join(folder, 'strikewell.lock');
  const lock = lockDataDir(folder);
  writeFileSync(file, 'of another');
  lock.release();
  expect(readFileSync(file, 'utf8')).toBe('of another');
});
