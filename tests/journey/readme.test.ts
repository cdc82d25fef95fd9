import { cpSync, existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { z } from 'zod';
import { projectPaths, ROOT } from '../house/sources.ts';
import { type Child, startChild } from '../support/child.ts';
import { untilReady } from '../support/daemon.ts';
import { machinePath, plainEnvironment } from '../support/environment.ts';
import { removeFolder, temporaryFolder } from '../support/folders.ts';
import { connectPublisher } from '../support/mqttPublisher.ts';
import { freePort } from '../support/ports.ts';
import { descendantRunning } from '../support/processes.ts';
import { until } from '../support/wait.ts';

const placesSchema = z.object({ places: z.array(z.object({ id: z.string(), name: z.string() })) });

/** The fenced `sh` blocks of the README, in order. */
function commandsOfReadme(): string[] {
  const readme = readFileSync(`${ROOT}README.md`, 'utf8');
  return [...readme.matchAll(/^```sh\n(.*?)^```/gms)].map(([, block = '']) => block.trim());
}

/** What a clone of the project as it stands would hold. */
function cloneInto(folder: string): void {
  for (const path of projectPaths()) cpSync(ROOT + path, join(folder, path));
}

async function placesAt(httpUrl: string): Promise<z.infer<typeof placesSchema>['places']> {
  const response = await fetch(`${httpUrl}/api/v1/places`);
  return placesSchema.parse(await response.json()).places;
}

type Run = { readonly shell: Child; readonly httpUrl: string; readonly mqttUrl: string };

async function runCommand(command: string, folder: string): Promise<Run> {
  const [httpPort, mqttPort] = [await freePort(), await freePort()];
  const env = plainEnvironment({
    PATH: machinePath(),
    STRIKEWELL_HTTP_PORT: String(httpPort),
    STRIKEWELL_MQTT_PORT: String(mqttPort),
  });
  const shell = startChild({ command: 'sh', args: ['-c', command], env, cwd: folder });
  const run = { shell, httpUrl: `http://127.0.0.1:${httpPort}`, mqttUrl: `mqtt://127.0.0.1:${mqttPort}` };
  const said = (): string => shell.stdout() + shell.stderr();
  await untilReady({ httpUrl: run.httpUrl, hasEnded: shell.hasEnded, said, withinMs: 240_000 });
  return run;
}

test('the README gives npm ci && npm start first and npm ci && npm test second', () => {
  expect(commandsOfReadme().slice(0, 2)).toEqual(['npm ci && npm start', 'npm ci && npm test']);
});

test('from a clean clone with the machine’s own Node, the first command serves the page, takes 1 pack and ends with 0', async () => {
  const folder = temporaryFolder('clone');
  cloneInto(folder);
  expect(existsSync(join(folder, 'node_modules'))).toBe(false);
  const { shell, httpUrl, mqttUrl } = await runCommand(commandsOfReadme()[0] ?? '', folder);

  const page = await fetch(httpUrl);
  expect(page.status).toBe(200);
  expect(page.headers.get('content-type')).toContain('text/html');
  expect(await page.text()).toMatch(/<title>[^<]*Strikewell/);

  const publisher = await connectPublisher({ url: mqttUrl });
  await publisher.publish({
    topic: 'strikewell/1/bench-1/readings',
    payload: JSON.stringify([{ n: 'air/temperature', u: 'Cel', v: 23.5 }]),
  });
  await publisher.close();
  const place = await until(async () => (await placesAt(httpUrl))[0] ?? null, {
    what: 'place of the first pack',
    withinMs: 5_000,
  });
  expect(place).toMatchObject({ id: 'bench-1', name: 'bench-1' });

  // The daemon alone is told to stop, as a supervisor would: the shell and npm pass its exit code on.
  process.kill(descendantRunning({ of: shell.pid, script: 'server/launch.js' }), 'SIGTERM');
  const exit = await shell.exit;
  expect(exit, shell.stderr()).toEqual({ code: 0, signal: null });
  removeFolder(folder);
}, 300_000);
