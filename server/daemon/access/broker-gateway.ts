import { Fault } from '../../../shared/faults.ts';
import type { AccessRecord, BrokerGateway, KeptDevice, Pass, Secrets } from '../../ports.ts';

/** The name under which the daemon's own simulated devices log in; its secret never leaves the process. */
export const HOUSE_LOGIN = 'strikewell.house';

const NOBODY: Pass = { device: null, fingerprint: null };

type Login = { readonly name: string; readonly secret: string };
type KeptLogin = { readonly name: string; readonly fingerprint: string };

/**
 * Who may publish at the embedded broker: a device with a secret of its own as itself alone, and nobody else for it;
 * besides, anybody while there is no owner, then who has the shared login of the devices. Secrets of devices are 256
 * random bits, so one pass of SHA-256 keeps them: nobody tries that many, and slowness helps guessed passwords only.
 * A record that cannot be read opens to nobody.
 * @returns the door, and the login of the daemon's own devices
 */
export function createBrokerGateway({ record, secrets }: { record: AccessRecord; secrets: Secrets }): {
  gateway: BrokerGateway;
  houseLogin: { readonly username: string; readonly password: string };
} {
  const password = secrets.token();
  const house = { name: HOUSE_LOGIN, fingerprint: secrets.fingerprint(password) };
  const shared = () => [house, record.deviceLogin()].filter((login) => login !== null);
  const fits = (kept: KeptLogin, { name, secret }: Login) =>
    kept.name === name && secrets.same(kept.fingerprint, secrets.fingerprint(secret));
  const passOf = (login: Login | null) => {
    const open = !record.owned();
    if (login === null) return open ? NOBODY : 'anonymous';
    const own = record.device(login.name);
    if (own !== null) return ownPass(own, fits(own, login));
    const kept = shared().find((one) => fits(one, login));
    if (kept) return { device: null, fingerprint: kept.fingerprint };
    return open ? NOBODY : 'bad-login';
  };
  const gateway: BrokerGateway = {
    open: () => orElse(() => !record.owned(), false),
    letIn: ({ login, clientId }) =>
      orElse(() => {
        const pass = passOf(login);
        // under its client id somebody else would throw the device out
        const foreign = typeof pass !== 'string' && pass.device !== clientId && record.device(clientId);
        return foreign ? 'client-id' : pass;
      }, 'bad-login'),
    holds: ({ device, fingerprint }) =>
      orElse(() => {
        if (device !== null) return isValid(record.device(device), fingerprint);
        if (!record.owned()) return true;
        return fingerprint !== null && shared().some((login) => login.fingerprint === fingerprint);
      }, false),
    maySpeakFor: (pass, device) =>
      orElse(() => (pass.device === null ? record.device(device) === null : pass.device === device), false),
  };
  return { gateway, houseLogin: { username: HOUSE_LOGIN, password } };
}

function ownPass({ name, fingerprint, state }: KeptDevice, fits: boolean) {
  if (!fits) return 'bad-login';
  return state === 'enabled' ? { device: name, fingerprint } : 'device-disabled';
}

function isValid(kept: KeptDevice | null, fingerprint: string | null): boolean {
  return kept?.state === 'enabled' && kept.fingerprint === fingerprint;
}

function orElse<T>(ask: () => T, otherwise: T): T {
  try {
    return ask();
  } catch (cause) {
    if (cause instanceof Fault) return otherwise;
    throw cause;
  }
}
