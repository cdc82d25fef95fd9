import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { type Certificates, makeCertificates } from './certificates.ts';
import { type Child, runChild, startChild } from './child.ts';
import { plainEnvironment, toolPath } from './environment.ts';
import { removeFolder, temporaryFolder } from './folders.ts';
import { freePort, isListening } from './ports.ts';
import { until } from './wait.ts';

export type MosquittoOptions = {
  /** keep sessions and retained messages over a restart */
  readonly persistence?: boolean;
  /** only these may connect */
  readonly login?: { readonly user: string; readonly password: string };
  /** listen with TLS, with a certificate of an authority of our own */
  readonly tls?: boolean;
};

export type Mosquitto = {
  readonly port: number;
  readonly url: string;
  /** the authority to trust, when it listens with TLS */
  readonly caFile: string | null;
  log(): string;
  /** ends it in good order; `start` brings it back on the same port */
  stop(): Promise<void>;
  /** ends it as a power cut would */
  kill(): Promise<void>;
  start(): Promise<void>;
  /** stops it from running without ending it; what is returned lets it run on */
  freeze(): () => void;
  /** makes this the only login that may connect, from the next connection on; the broker runs on */
  changeLogin(login: { readonly user: string; readonly password: string }): Promise<void>;
  /** ends it and removes its files */
  close(): Promise<void>;
};

/** More than any test leaves waiting: the broker drops past this silently. */
const MAX_QUEUED_MESSAGES = 100_000;

/**
 * Starts a real Mosquitto on a free port of the loopback address.
 *
 * @param options persistence, login and TLS; all off by default
 * @returns the broker, once it takes connections
 */
export async function startMosquitto(options: MosquittoOptions = {}): Promise<Mosquitto> {
  const folder = temporaryFolder('mosquitto');
  const port = await freePort();
  const certificates = options.tls === true ? await makeCertificates(folder) : null;
  if (options.login !== undefined) await writePasswords({ folder, ...options.login });
  const configFile = join(folder, 'mosquitto.conf');
  writeFileSync(configFile, configuration({ folder, port, options, certificates }).join('\n'));

  let child = await startBroker({ configFile, port });
  const end = async (signal: NodeJS.Signals): Promise<void> => {
    await child.end(signal);
  };
  return {
    port,
    url: `${certificates === null ? 'mqtt' : 'mqtts'}://127.0.0.1:${port}`,
    caFile: certificates?.caFile ?? null,
    log: () => child.stderr(),
    stop: () => end('SIGTERM'),
    kill: () => end('SIGKILL'),
    start: async () => {
      child = await startBroker({ configFile, port });
    },
    freeze: () => {
      const { pid, hasEnded } = child;
      process.kill(pid, 'SIGSTOP');
      return () => {
        if (!hasEnded()) process.kill(pid, 'SIGCONT');
      };
    },
    changeLogin: async (login) => {
      await writePasswords({ folder, ...login });
      process.kill(child.pid, 'SIGHUP');
    },
    close: async () => {
      await end('SIGTERM');
      removeFolder(folder);
    },
  };
}

type Setup = {
  readonly folder: string;
  readonly port: number;
  readonly options: MosquittoOptions;
  readonly certificates: Certificates | null;
};

function configuration({ folder, port, options, certificates }: Setup): string[] {
  const lines = [
    `listener ${port} 127.0.0.1`,
    `allow_anonymous ${options.login === undefined}`,
    `max_queued_messages ${MAX_QUEUED_MESSAGES}`,
    'log_dest stderr',
    // Started by root it would become another user, who may not read the folder.
    'user root',
    `persistence ${options.persistence === true}`,
  ];
  if (options.persistence === true) lines.push(`persistence_location ${folder}/`, 'autosave_interval 1');
  if (options.login !== undefined) lines.push(`password_file ${passwordFile(folder)}`);
  if (certificates !== null)
    lines.push(`certfile ${certificates.certFile}`, `keyfile ${certificates.keyFile}`);
  return [...lines, ''];
}

function passwordFile(folder: string): string {
  return join(folder, 'passwords');
}

async function writePasswords(login: { folder: string; user: string; password: string }): Promise<void> {
  const args = ['-b', '-c', passwordFile(login.folder), login.user, login.password];
  await runChild({ command: toolPath('mosquittoPasswd'), args, env: plainEnvironment() });
}

async function startBroker(place: { configFile: string; port: number }): Promise<Child> {
  const child = startChild({
    command: toolPath('mosquitto'),
    args: ['-c', place.configFile],
    env: plainEnvironment(),
  });
  await until(
    async () => {
      if (await isListening(place.port)) return true;
      return child.hasEnded() ? Promise.reject(new Error(child.stderr())) : null;
    },
    { what: 'Mosquitto', withinMs: 10_000 },
  );
  return child;
}
