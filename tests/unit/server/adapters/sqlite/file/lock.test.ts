import { existsSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, onTestFinished, test } from 'vitest';
import { lockDataDir, lockHolder } from '../../../../../../server/adapters/sqlite/file/lock.ts';
import { isAlive } from '../../../../../../server/adapters/system/processes.ts';
import { startChild } from '../../../../../support/child.ts';
import { plainEnvironment } from '../../../../../support/environment.ts';
import { temporaryFolder } from '../../../../../support/folders.ts';
import { until } from '../../../../../support/wait.ts';

const lockModule = new URL('../../../../../../server/adapters/sqlite/file/lock.ts', import.meta.url).href;

/** A program that locks the folder, says so or why not, and stays. */
function holderCode(folder: string): string {
  return `import { lockDataDir } from ${JSON.stringify(lockModule)};
    try { lockDataDir(${JSON.stringify(folder)}); console.log('held by ' + process.pid); }
    catch (fault) { console.log('refused: ' + fault.code + ' ' + fault.message); }
    setInterval(() => undefined, 1000);`;
}

function started(command: string, args: readonly string[]) {
  const child = startChild({ command, args, env: plainEnvironment() });
  onTestFinished(async () => void (await child.end('SIGKILL')));
  const said = (pattern: RegExp) =>
    until(() => pattern.exec(child.stdout()), { what: `${pattern}`, withinMs: 30_000 });
  return { child, said };
}

const node = (folder: string) => [process.execPath, '--input-type=module', '-e', holderCode(folder)] as const;

/** Another process that holds the folder until it is ended. */
async function holder(folder: string) {
  const [command, ...args] = node(folder);
  const { child, said } = started(command, args);
  await said(/held by/);
  return child;
}

function faultOf(work: () => unknown): unknown {
  try {
    work();
  } catch (cause) {
    return cause;
  }
  return null;
}

test('a folder held by another living process is refused with data-dir-in-use and its number, and free after its death', async () => {
  const folder = temporaryFolder('lock');
  const other = await holder(folder);
  expect(lockHolder(folder)).toMatchObject({ pid: other.pid, elsewhere: false });
  const fault = faultOf(() => lockDataDir(folder));
  expect(fault).toMatchObject({ code: 'data-dir-in-use', details: { pid: other.pid } });
  // asking twice, or being refused, must not let the other's lock go
  expect(lockHolder(folder)).toMatchObject({ pid: other.pid });
  await other.end('SIGKILL');
  expect(lockHolder(folder)).toBeNull();
  lockDataDir(folder).release();
  expect(existsSync(join(folder, 'strikewell.lock.json'))).toBe(false);
});

test('a folder is free while its dead holder is a zombie that nobody waits for', async () => {
  const folder = temporaryFolder('lock');
  const file = join(folder, 'code.mjs');
  writeFileSync(file, holderCode(folder));
  // the shell becomes a program that never waits for its child
  const { child, said } = started('sh', ['-c', '"$0" "$1" & exec sleep 600', process.execPath, file]);
  const [, number] = (await said(/held by (\d+)/)) ?? [];
  const pid = Number(number);
  process.kill(pid, 'SIGKILL');
  const state = () => readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ')[1]?.[0] ?? null;
  await until(() => (state() === 'Z' ? true : null), { what: 'zombie', withinMs: 30_000 });
  expect(isAlive(pid)).toBe(false);
  expect(child.hasEnded()).toBe(false);
  lockDataDir(folder).release();
});

test('of 2 processes that are both number 1 of their own container, the 2nd is refused and names the 1st as elsewhere', async () => {
  const folder = temporaryFolder('lock');
  const apart = (): readonly string[] => ['--pid', '--fork', '--kill-child', '--mount-proc', ...node(folder)];
  const first = started('unshare', apart());
  const [, firstPid] = (await first.said(/held by (\d+)/)) ?? [];
  const second = started('unshare', apart());
  const [refusal] = (await second.said(/refused: .*/)) ?? [];
  expect(firstPid).toBe('1');
  expect(refusal).toMatch(/^refused: data-dir-in-use .*process 1 of another container or machine/);
  expect(lockHolder(folder)).toMatchObject({ pid: 1, elsewhere: true });
  await first.child.end('SIGKILL');
  await until(() => (lockHolder(folder) === null ? true : null), { what: 'free folder', withinMs: 30_000 });
});

test('of 8 processes started side by side on 1 folder with a note of an older version, exactly 1 holds it', async () => {
  const folder = temporaryFolder('lock');
  writeFileSync(join(folder, 'strikewell.lock'), '{"pid":1,"bootId":null,"startedTicks":null}');
  const [command, ...args] = node(folder);
  const all = Array.from({ length: 8 }, () => started(command, args));
  const words = await Promise.all(all.map(({ said }) => said(/held by|refused: data-dir-in-use/)));
  expect(words.filter((found) => found?.[0] === 'held by')).toHaveLength(1);
});

test.each(['', '{"pid":1}', 'null', 'x'.repeat(5_000)])(
  'a file of an older version that holds "%s" is no lock, and is emptied',
  (text) => {
    const folder = temporaryFolder('lock');
    const file = join(folder, 'strikewell.lock');
    writeFileSync(file, text);
    expect(lockHolder(folder)).toBeNull();
    const lock = lockDataDir(folder);
    expect(statSync(file).size).toBe(0);
    lock.release();
  },
);

test('a 2nd release leaves the lock of whoever locked the folder since', async () => {
  const folder = temporaryFolder('lock');
  const lock = lockDataDir(folder);
  lock.release();
  const other = await holder(folder);
  lock.release();
  expect(lockHolder(folder)).toMatchObject({ pid: other.pid });
});

test('a note that cannot be read is no reason to think the folder free', () => {
  const folder = temporaryFolder('lock');
  const lock = lockDataDir(folder);
  writeFileSync(join(folder, 'strikewell.lock.json'), '{"pid":');
  expect(lockHolder(folder)).toEqual({ pid: null, host: null, elsewhere: false });
  lock.release();
  expect(lockHolder(folder)).toBeNull();
});

test('a folder that cannot be written is data-dir-unwritable, or no lock where a start without one is allowed', () => {
  const gone = join(temporaryFolder('lock'), 'gone');
  expect(faultOf(() => lockDataDir(gone))).toMatchObject({ code: 'data-dir-unwritable' });
  const lock = lockDataDir(gone, { unwritable: 'go-on' });
  expect(lock.held).toBe(false);
  lock.release();
});
