import { fileURLToPath } from 'node:url';
import type { z } from 'zod';
import { type Child, type Exit, startChild } from './child.ts';
import { plainEnvironment } from './environment.ts';
import { removeFolder, temporaryFolder } from './folders.ts';
import { freePort } from './ports.ts';
import { until } from './wait.ts';

export type DaemonOptions = {
  /** further settings, `STRIKEWELL_MQTT_URL` for instance */
  readonly settings?: Readonly<Record<string, string>>;
  readonly command?: 'serve' | 'demo';
  /** within which it must be ready at each start, ms; 20 s unless given */
  readonly readyWithinMs?: number;
};

export type Answer = { readonly status: number; readonly body: unknown };

export type Daemon = {
  readonly httpUrl: string;
  readonly mqttUrl: string;
  readonly httpPort: number;
  readonly mqttPort: number;
  readonly dataDir: string;
  pid(): number;
  stdout(): string;
  stderr(): string;
  /** the answer of the HTTP interface, whatever its status */
  get(path: string): Promise<Answer>;
  put(path: string, body: unknown): Promise<Answer>;
  post(path: string, body?: unknown): Promise<Answer>;
  patch(path: string, body: unknown): Promise<Answer>;
  /** the body of a GET that must succeed, as the schema reads it */
  read<T>(path: string, schema: z.ZodType<T>): Promise<T>;
  /** ends it in good order; `start` brings it back on the same data and ports, with the same command unless told */
  stop(): Promise<Exit>;
  /** ends it with SIGKILL, as a power cut would */
  kill(): Promise<Exit>;
  start(command?: 'serve' | 'demo'): Promise<void>;
  /** ends it and removes its data */
  close(): Promise<void>;
};

const launcher = fileURLToPath(new URL('../../server/launch.js', import.meta.url));

/**
 * Starts the real daemon on free ports with an empty data folder.
 *
 * @param options further settings, and the command when it is not `serve`
 * @returns the daemon, once it is ready
 */
export async function startDaemon(options: DaemonOptions = {}): Promise<Daemon> {
  const dataDir = temporaryFolder('data');
  const [httpPort, mqttPort] = [await freePort(), await freePort()];
  const httpUrl = `http://127.0.0.1:${httpPort}`;
  const settings = {
    STRIKEWELL_DATA_DIR: dataDir,
    STRIKEWELL_HTTP_PORT: String(httpPort),
    STRIKEWELL_MQTT_PORT: String(mqttPort),
    ...options.settings,
  };
  const launch = (command = options.command ?? 'serve'): Promise<Child> =>
    launchDaemon({ command, settings, httpUrl, withinMs: options.readyWithinMs ?? 60_000 });
  let child = await launch();
  return {
    httpUrl,
    mqttUrl: `mqtt://127.0.0.1:${mqttPort}`,
    httpPort,
    mqttPort,
    dataDir,
    pid: () => child.pid,
    stdout: () => child.stdout(),
    stderr: () => child.stderr(),
    ...talkTo(httpUrl),
    stop: () => child.end('SIGTERM'),
    kill: () => child.end('SIGKILL'),
    start: async (command) => {
      child = await launch(command);
    },
    close: async () => {
      await child.end('SIGTERM');
      removeFolder(dataDir);
    },
  };
}

type Launch = {
  readonly command: string;
  readonly settings: Readonly<Record<string, string>>;
  readonly httpUrl: string;
  readonly withinMs: number;
};

async function launchDaemon({ command, settings, httpUrl, withinMs }: Launch): Promise<Child> {
  const child = startChild({
    command: process.execPath,
    args: [launcher, command],
    env: plainEnvironment(settings),
  });
  await untilReady({ httpUrl, hasEnded: child.hasEnded, said: child.stderr, withinMs });
  return child;
}

/**
 * Waits until the daemon says it is ready.
 *
 * @param daemon its address, and how to tell that it gave up and why
 * @throws Error with what it wrote when it ended, or was not ready in 20 s
 */
export async function untilReady(daemon: {
  readonly httpUrl: string;
  readonly hasEnded: () => boolean;
  readonly said: () => string;
  readonly withinMs?: number;
}): Promise<void> {
  const ask = async (): Promise<'ready' | 'ended' | null> => {
    if (daemon.hasEnded()) return 'ended';
    return (await fetch(`${daemon.httpUrl}/healthz`)).status === 200 ? 'ready' : null;
  };
  const wait = { what: 'ready daemon', withinMs: daemon.withinMs ?? 60_000, everyMs: 5 };
  const outcome = await until(ask, wait);
  if (outcome === 'ended') throw new Error(`the daemon ended: ${daemon.said()}`);
}

function talkTo(httpUrl: string): Pick<Daemon, 'get' | 'put' | 'post' | 'patch' | 'read'> {
  const ask = async (method: string, path: string, body?: unknown): Promise<Answer> => {
    const content =
      body === undefined
        ? {}
        : { body: JSON.stringify(body), headers: { 'content-type': 'application/json' } };
    const response = await fetch(httpUrl + path, { method, ...content });
    const text = await response.text();
    return { status: response.status, body: text === '' ? null : JSON.parse(text) };
  };
  return {
    get: (path) => ask('GET', path),
    put: (path, body) => ask('PUT', path, body),
    post: (path, body) => ask('POST', path, body),
    patch: (path, body) => ask('PATCH', path, body),
    read: async (path, schema) => {
      const answer = await ask('GET', path);
      if (answer.status !== 200)
        throw new Error(`${path} answered ${answer.status}: ${JSON.stringify(answer.body)}`);
      return schema.parse(answer.body);
    },
  };
}
