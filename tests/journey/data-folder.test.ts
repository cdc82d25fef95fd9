import { chmodSync, existsSync, readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { expect, onTestFinished, test } from 'vitest';
import { startChild } from '../support/child.ts';
import { LAUNCHER, runCommand } from '../support/command.ts';
import { startDaemon, untilReady } from '../support/daemon.ts';
import { plainEnvironment } from '../support/environment.ts';
import { temporaryFolder } from '../support/folders.ts';
import { freePort } from '../support/ports.ts';
import { until } from '../support/wait.ts';

/** Files and folders others than the owner may do anything with, below and with the folder. */
function openTo(folder: string): string[] {
  const paths = [
    folder,
    ...readdirSync(folder, { recursive: true }).map((name) => join(folder, String(name))),
  ];
  return paths.filter((path) => existsSync(path) && (statSync(path).mode & 0o077) !== 0);
}

test('the data folder is 0700 and its files 0600 from the first start, with backups; what was opened is closed again with 1 line', async () => {
  const daemon = await startDaemon();
  onTestFinished(() => daemon.close());
  const settings = { STRIKEWELL_DATA_DIR: daemon.dataDir };
  expect(await runCommand(['backup'], settings)).toMatchObject({ code: 0 });
  expect(openTo(daemon.dataDir)).toEqual([]);
  expect(daemon.stderr()).not.toContain('could be read by others');
  await daemon.stop();
  chmodSync(daemon.dataDir, 0o755);
  chmodSync(join(daemon.dataDir, 'strikewell.db'), 0o644);
  chmodSync(join(daemon.dataDir, 'backups'), 0o755);
  await daemon.start();
  expect(openTo(daemon.dataDir)).toEqual([]);
  expect(daemon.stderr().match(/and 2 more could be read by others/g)).toHaveLength(1);
});

/** A daemon below a shell that becomes a program which never waits for its children. */
async function startUnwaited(settings: Readonly<Record<string, string>>) {
  const said = temporaryFolder('said');
  const script = `"$0" "$1" serve 2> "${said}/log" & echo $!; exec sleep 600`;
  const args = ['-c', script, process.execPath, LAUNCHER];
  const shell = startChild({ command: 'sh', args, env: plainEnvironment(settings) });
  onTestFinished(async () => void (await shell.end('SIGKILL')));
  const pid = await until(() => Number(/^\d+/m.exec(shell.stdout())?.[0] ?? Number.NaN) || null, {
    what: 'process',
    withinMs: 10_000,
  });
  onTestFinished(() => {
    if (existsSync(`/proc/${pid}`)) process.kill(pid, 'SIGKILL');
  });
  return pid;
}

test('killed and left as a zombie, the daemon starts again at once on its folder; a 3rd beside it is refused', async () => {
  const [httpPort, mqttPort] = [await freePort(), await freePort()];
  const settings = {
    STRIKEWELL_DATA_DIR: temporaryFolder('data'),
    STRIKEWELL_HTTP_PORT: String(httpPort),
    STRIKEWELL_MQTT_PORT: String(mqttPort),
  };
  const ready = (hasEnded: () => boolean) =>
    untilReady({ httpUrl: `http://127.0.0.1:${httpPort}`, hasEnded, said: () => '' });
  const first = await startUnwaited(settings);
  await ready(() => false);
  process.kill(first, 'SIGKILL');
  const again = startChild({
    command: process.execPath,
    args: [LAUNCHER, 'serve'],
    env: plainEnvironment(settings),
  });
  onTestFinished(async () => void (await again.end('SIGTERM')));
  await ready(again.hasEnded);
  expect(existsSync(`/proc/${first}`)).toBe(true);
  const third = await runCommand(['serve'], { ...settings, STRIKEWELL_HTTP_PORT: '1' });
  expect(third.code).toBe(2);
  expect(third.stderr).toContain(`process ${again.pid}`);
});
