import { spawn } from 'node:child_process';
import { existsSync } from 'node:fs';
import type { Log } from '../../ports.ts';

/** Where systemd's own program for this lies; the environment may name no folder to look in. */
const PROGRAMS = ['/usr/bin/systemd-notify', '/bin/systemd-notify'];

type ServiceManagerDeps = {
  /** as systemd says it, or null where nobody asks */
  readonly socket: string | null;
  readonly log: Log;
  /** the program that sends it, or null where there is none */
  readonly program?: string | null;
};

/** What is sent to the manager of services; node speaks to no datagram socket, so systemd's own program does. */
export function serviceManager({ socket, log, program = found() }: ServiceManagerDeps) {
  const send = (state: string): void => {
    if (socket === null) return;
    if (program === null) {
      log.warn('systemd waits for a sign of life, and systemd-notify is not installed');
      return;
    }
    const env = { NOTIFY_SOCKET: socket };
    const child = spawn(program, [`--pid=${process.pid}`, state], { env, stdio: 'ignore' });
    child.once('error', (cause) => log.warn('systemd did not take the message', { error: String(cause) }));
    child.unref();
  };
  return {
    ready: () => send('READY=1'),
    alive: () => send('WATCHDOG=1'),
    stopping: () => send('STOPPING=1'),
  };
}

function found(): string | null {
  return PROGRAMS.find((path) => existsSync(path)) ?? null;
}
