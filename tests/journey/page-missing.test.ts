import {
  cpSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  symlinkSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { dirname, join } from 'node:path';
import { expect, onTestFinished, test } from 'vitest';
import { z } from 'zod';
import { projectPaths, ROOT } from '../house/sources.ts';
import { type Child, startChild } from '../support/child.ts';
import { untilReady } from '../support/daemon.ts';
import { plainEnvironment } from '../support/environment.ts';
import { temporaryFolder } from '../support/folders.ts';
import { connectPublisher } from '../support/mqttPublisher.ts';
import { freePort } from '../support/ports.ts';
import { until } from '../support/wait.ts';

const lockSchema = z.object({ packages: z.record(z.string(), z.object({ dev: z.boolean().optional() })) });

/** The packages that `npm ci --omit=dev` would install, or all of them, as links to those of this checkout. */
function installInto(folder: string, { dev }: { readonly dev: boolean }): void {
  const { packages } = lockSchema.parse(JSON.parse(readFileSync(`${ROOT}package-lock.json`, 'utf8')));
  const top = Object.entries(packages).filter(([path]) => /^node_modules\/(@[^/]+\/)?[^/]+$/.test(path));
  for (const [path] of top.filter(([, entry]) => dev || entry.dev !== true)) {
    if (!existsSync(ROOT + path)) continue;
    mkdirSync(dirname(join(folder, path)), { recursive: true });
    symlinkSync(ROOT + path, join(folder, path));
  }
}

/** A clean copy of what runs, without a page. */
function cleanCopy({ dev }: { readonly dev: boolean }): string {
  const folder = temporaryFolder('clean');
  const rooms = /^(server|shared|web|seeds|firmware-contracts)\/|^package/;
  for (const path of projectPaths().filter((each) => rooms.test(each)))
    cpSync(ROOT + path, join(folder, path));
  installInto(folder, { dev });
  return folder;
}

type Started = { readonly child: Child; readonly httpUrl: string; readonly mqttUrl: string };

async function startIn(folder: string, settings: Readonly<Record<string, string>>): Promise<Started> {
  const [httpPort, mqttPort] = [await freePort(), await freePort()];
  const ports = { STRIKEWELL_HTTP_PORT: String(httpPort), STRIKEWELL_MQTT_PORT: String(mqttPort) };
  const env = plainEnvironment({ ...settings, ...ports });
  const args = [join(folder, 'server/launch.js'), 'serve'];
  const child = startChild({ command: process.execPath, args, env, cwd: folder });
  onTestFinished(async () => void (await child.end('SIGTERM')));
  const httpUrl = `http://127.0.0.1:${httpPort}`;
  await untilReady({ httpUrl, hasEnded: child.hasEnded, said: child.stderr, withinMs: 60_000 });
  return { child, httpUrl, mqttUrl: `mqtt://127.0.0.1:${mqttPort}` };
}

const textOf = async (url: string) => (await fetch(url)).text();
const houseOf = async (httpUrl: string) =>
  z.object({ page: z.string() }).parse(await (await fetch(`${httpUrl}/api/v1/house`)).json());

test('after "npm ci --omit=dev" without a page the daemon takes readings and says at / what to do; an old page is served with 1 warning', async () => {
  const folder = cleanCopy({ dev: false });
  const settings = { STRIKEWELL_DATA_DIR: temporaryFolder('data') };
  const bare = await startIn(folder, settings);
  expect(bare.child.stderr().match(/There is no page/g)).toHaveLength(1);
  const answer = await fetch(`${bare.httpUrl}/`);
  expect([answer.status, answer.headers.get('content-type')]).toEqual([200, 'text/html; charset=utf-8']);
  const words = await answer.text();
  expect(words).toContain('its page is not built');
  expect(words).toContain('npm ci');
  expect(words).not.toMatch(/<(script|link|img|style)/);
  expect((await houseOf(bare.httpUrl)).page).toBe('missing');
  const publisher = await connectPublisher({ url: bare.mqttUrl });
  const payload = '[{"n":"w1/air/temperature","u":"Cel","v":21}]';
  await publisher.publish({ topic: 'strikewell/1/w1/readings', payload });
  await publisher.close();
  await until(async () => ((await textOf(`${bare.httpUrl}/api/v1/places`)).includes('"w1"') ? true : null), {
    what: 'place',
    withinMs: 20_000,
  });
  await bare.child.end('SIGTERM');

  cpSync(`${ROOT}web/dist`, join(folder, 'web/dist'), { recursive: true });
  const now = new Date(Date.now() + 60_000);
  utimesSync(join(folder, 'shared/sources.md'), now, now);
  const old = await startIn(folder, settings);
  expect(old.child.stderr().match(/The page is older than its sources/g)).toHaveLength(1);
  expect(await textOf(`${old.httpUrl}/`)).toBe(readFileSync(join(folder, 'web/dist/index.html'), 'utf8'));
  expect((await houseOf(old.httpUrl)).page).toBe('older');
});

/** Builds the page of a copy where needed, as a start does; what it said. */
async function readied(folder: string): Promise<string> {
  const code = `import { readyPage } from ${JSON.stringify(`file://${join(folder, 'server/page.ts')}`)}; console.log(readyPage() ?? 'ready');`;
  const args = ['--input-type=module', '-e', code];
  const child = startChild({ command: process.execPath, args, env: plainEnvironment(), cwd: folder });
  await child.exit;
  return child.stdout();
}

/** Files a page asks for that are not there. */
function missingFrom(dist: string): string[] {
  const asked = readFileSync(join(dist, 'index.html'), 'utf8').matchAll(/(?:src|href)="\/([^"]+)"/g);
  return [...asked].map(([, path = '']) => path).filter((path) => !existsSync(join(dist, path)));
}

test('2 starts that build at once leave 1 whole page that is whole at every look; a build that fails leaves it as it was', async () => {
  const folder = cleanCopy({ dev: true });
  const dist = join(folder, 'web/dist');
  cpSync(`${ROOT}web/dist`, dist, { recursive: true });
  const old = new Date(0);
  utimesSync(join(dist, 'index.html'), old, old);
  const samples: string[][] = [];
  const looking = setInterval(() => samples.push(missingFrom(dist)), 2);
  const words = await Promise.all([readied(folder), readied(folder)]);
  clearInterval(looking);
  expect(words).toEqual(['ready\n', 'ready\n']);
  expect(samples.flat()).toEqual([]);
  expect(readdirSync(dist).filter((name) => name.startsWith('.'))).toEqual([]);
  expect(await readied(folder)).toBe('ready\n');

  const before = readFileSync(join(dist, 'index.html'), 'utf8');
  writeFileSync(join(folder, 'web/main.tsx'), 'this is no program');
  expect(await readied(folder)).toContain('could not be built');
  expect(readFileSync(join(dist, 'index.html'), 'utf8')).toBe(before);
  expect([...missingFrom(dist), ...readdirSync(dist).filter((name) => name.startsWith('.'))]).toEqual([]);
  rmSync(dist, { recursive: true });
  expect(await readied(folder)).toContain('There is no page');
});
