import { get as getPlain } from 'node:http';
import { get as getEncrypted } from 'node:https';
import type { Settings } from '../config.ts';
import type { Command } from './command.ts';

const DEADLINE_MS = 5_000;
/** An address for all of a machine is reached at its own. */
const OWN_ADDRESS: Readonly<Record<string, string>> = { '0.0.0.0': '127.0.0.1', '::': '::1' };

/** Asks the daemon of these settings whether it lives: what a container or another watcher asks again and again. */
export const healthy: Command = {
  summary: 'ask the running daemon whether it lives; exit code 1 if it does not',
  usage: '[--config FILE]',
  options: {},
  async run({ settings, say, note }) {
    const answer = await statusOf(settings);
    const lives = answer === '200';
    (lives ? say : note)(lives ? 'Strikewell lives.' : `Strikewell gives no sign of life: ${answer}.`);
    return { code: lives ? 0 : 1 };
  },
};

/** The certificate is for the name that others use, and not looked at: nothing but a status is asked for. */
function statusOf({ host, httpPort, tls }: Settings): Promise<string> {
  const { promise, resolve } = Promise.withResolvers<string>();
  const own = OWN_ADDRESS[host] ?? host;
  const where = { host: own, port: httpPort, path: '/healthz', timeout: DEADLINE_MS, agent: false };
  const request =
    tls === null
      ? getPlain(where, (answer) => resolve(String(answer.resume().statusCode)))
      : getEncrypted({ ...where, rejectUnauthorized: false }, (answer) =>
          resolve(String(answer.resume().statusCode)),
        );
  request.once('timeout', () => request.destroy(new Error(`no answer within ${DEADLINE_MS / 1000} s`)));
  request.once('error', (cause) => resolve(cause.message));
  return promise;
}
