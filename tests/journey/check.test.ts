import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { expect, onTestFinished, test } from 'vitest';
import { PACK_FAULTS } from '../../shared/faults.ts';
import { startChild } from '../support/child.ts';
import { LAUNCHER } from '../support/command.ts';
import { startDaemon } from '../support/daemon.ts';
import { plainEnvironment } from '../support/environment.ts';
import { temporaryFolder } from '../support/folders.ts';
import { connectPublisher } from '../support/mqttPublisher.ts';
import { until } from '../support/wait.ts';

const EXAMPLES = fileURLToPath(new URL('../../firmware-contracts/v1/examples/', import.meta.url));

function check(args: readonly string[], { input = '', dataDir = temporaryFolder('data') } = {}) {
  const env = plainEnvironment({ STRIKEWELL_DATA_DIR: dataDir });
  return spawnSync(process.execPath, [LAUNCHER, 'check', ...args], { input, encoding: 'utf8', env });
}

test('a payload on standard input is said to be stored in place bench-1 as root-zone temperature, and ends with 0', () => {
  const input =
    '[{"bt":1772611200,"n":"root/temperature","u":"Cel","v":23.4},{"n":"soil/moisture","v":0.25}]';
  const { status, stdout } = check(['--device', 'bench-1'], { input });
  expect(status).toBe(0);
  // 1772611200 is 2026-03-04 08:00 UTC (GNU date).
  expect(stdout.split('\n')).toEqual([
    'strikewell/1/bench-1/readings: 2 readings would be stored',
    '  root/temperature  23.4 °C  2026-03-04T08:00:00.000Z  place bench-1, Root-zone temperature',
    '  soil/moisture  0.25  2026-03-04T08:00:00.000Z  no place, unassigned probe',
    '',
  ]);
});

test('a file with degC is refused with code, pointer /0 and remedy, and ends with 1; --json says the same', () => {
  const file = `${EXAMPLES}invalid/unit-unknown--degC.json`;
  const { status, stdout } = check([file]);
  expect(status).toBe(1);
  expect(stdout).toContain('unit-unknown at /0');
  expect(stdout).toContain(`→ ${PACK_FAULTS['unit-unknown'].remedy}`);
  const verdict = JSON.parse(check([file, '--json']).stdout);
  expect(verdict).toMatchObject({ ok: false, code: 'unit-unknown', pointer: '/0', device: 'device' });
});

test.each([
  [['a', 'b'], 'is an unexpected argument'],
  [['--device', 'no way'], '--device is'],
  [['--listen', '0'], '--listen is'],
  [['nowhere.json'], 'cannot be read'],
])('%j is a wrong use: exit code 2 and one line that says why', (args, words) => {
  const { status, stderr } = check(args);
  expect(status).toBe(2);
  expect(stderr).toContain(words);
});

test('listening for 4 s to one device beside a daemon shows its good pack and its bad one, not another’s, and ends with 1', async () => {
  const daemon = await startDaemon();
  onTestFinished(() => daemon.close());
  const child = startChild({
    command: process.execPath,
    args: [LAUNCHER, 'check', '--listen', '4', '--device', 'new-one', '--json'],
    env: plainEnvironment({
      STRIKEWELL_DATA_DIR: daemon.dataDir,
      STRIKEWELL_MQTT_PORT: String(daemon.mqttPort),
    }),
  });
  await until(() => (child.stderr().includes('Listening') ? true : null), {
    what: 'a listening check',
    withinMs: 10_000,
  });
  const publisher = await connectPublisher({ url: daemon.mqttUrl });
  const say = (device: string, payload: string) =>
    publisher.publish({ topic: `strikewell/1/${device}/readings`, payload });
  await say('other', '[{"n":"air/temperature","u":"Cel","v":20}]');
  await say('new-one', '[{"n":"air/temperature","u":"Cel","v":20}]');
  await say('new-one', '[{"n":"air/temperature","u":"Cel","v":null}]');
  await publisher.close();
  expect(await child.exit).toMatchObject({ code: 1 });
  const verdict = child
    .stdout()
    .trimEnd()
    .split('\n')
    .map((line) => JSON.parse(line));
  expect(verdict).toMatchObject([
    { ok: true, device: 'new-one', readings: [{ placeId: 'new-one', value: 20 }] },
    { ok: false, code: 'bad-field', pointer: '/0/v' },
  ]);
});
