import { cpSync, existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { z } from 'zod';
import { projectPaths, ROOT } from '../house/sources.ts';
import { type Child, runChild, startChild } from '../support/child.ts';
import { untilReady } from '../support/daemon.ts';
import { machinePath, plainEnvironment, toolPath } from '../support/environment.ts';
import { removeFolder, temporaryFolder } from '../support/folders.ts';
import { freePort } from '../support/ports.ts';
import { descendantRunning } from '../support/processes.ts';
import { until } from '../support/wait.ts';

const placesSchema = z.object({ places: z.array(z.object({ id: z.string(), name: z.string() })) });

/** The fenced `sh` blocks of the README, in order. */
function commandsOfReadme(): string[] {
  const readme = readFileSync(`${ROOT}README.md`, 'utf8');
  return [...readme.matchAll(/^ *```sh\n(.*?)^ *```/gms)].map(([, block = '']) => block.trim());
}

/** What a clone of the project as it stands would hold. */
function cloneInto(folder: string): void {
  for (const path of projectPaths()) cpSync(ROOT + path, join(folder, path));
}

async function placesAt(httpUrl: string): Promise<z.infer<typeof placesSchema>['places']> {
  const response = await fetch(`${httpUrl}/api/v1/places`);
  return placesSchema.parse(await response.json()).places;
}

/** The README's line for a sensor, but for the port and where the program lies. */
function atPort(line: string, mqttPort: number): string {
  expect(line).toMatch(/^mosquitto_pub .*-p 1883 /);
  return line.replace('mosquitto_pub', toolPath('mosquittoPub')).replace('-p 1883', `-p ${mqttPort}`);
}

type Run = { readonly shell: Child; readonly httpUrl: string; readonly mqttPort: number };

async function runCommand(command: string, folder: string): Promise<Run> {
  const [httpPort, mqttPort] = [await freePort(), await freePort()];
  const env = plainEnvironment({
    PATH: machinePath(),
    STRIKEWELL_HTTP_PORT: String(httpPort),
    STRIKEWELL_MQTT_PORT: String(mqttPort),
  });
  const shell = startChild({ command: 'sh', args: ['-c', command], env, cwd: folder });
  const run = { shell, httpUrl: `http://127.0.0.1:${httpPort}`, mqttPort };
  const said = (): string => shell.stdout() + shell.stderr();
  await untilReady({ httpUrl: run.httpUrl, hasEnded: shell.hasEnded, said, withinMs: 240_000 });
  return run;
}

test('the README gives npm ci && npm start first, npm ci && npm test second and a line for a sensor third', () => {
  const [first, second, third] = commandsOfReadme();
  expect([first, second]).toEqual(['npm ci && npm start', 'npm ci && npm test']);
  expect(third).toContain('mosquitto_pub');
});

test('from a clean clone with the machine’s own Node, the first command serves the page, takes the README’s 1 pack and ends with 0', async () => {
  const folder = temporaryFolder('clone');
  cloneInto(folder);
  expect(existsSync(join(folder, 'node_modules'))).toBe(false);
  const { shell, httpUrl, mqttPort } = await runCommand(commandsOfReadme()[0] ?? '', folder);

  const page = await fetch(httpUrl);
  expect(page.status).toBe(200);
  expect(page.headers.get('content-type')).toContain('text/html');
  expect(await page.text()).toMatch(/<title>[^<]*Strikewell/);

  const sensorLine = commandsOfReadme()[2] ?? '';
  await runChild({ command: 'sh', args: ['-c', atPort(sensorLine, mqttPort)], env: plainEnvironment() });
  const place = await until(async () => (await placesAt(httpUrl))[0] ?? null, {
    what: 'place of the first pack',
    withinMs: 5_000,
  });
  const device = /strikewell\/1\/([^/]+)\/readings/.exec(sensorLine)?.[1];
  expect(place).toMatchObject({ id: device, name: device });

  // The daemon alone is told to stop, as a supervisor would: the shell and npm pass its exit code on.
  process.kill(descendantRunning({ of: shell.pid, script: 'server/launch.js' }), 'SIGTERM');
  const exit = await shell.exit;
  expect(exit, shell.stderr()).toEqual({ code: 0, signal: null });
  removeFolder(folder);
}, 300_000);
