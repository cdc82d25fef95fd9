import { Fault } from '../../../shared/faults.ts';
import type { AccessRecord, BrokerDoor, Secrets } from '../../ports.ts';

/** The name under which the daemon's own simulated devices log in; its secret never leaves the process. */
const HOUSE_LOGIN = 'strikewell.house';

/**
 * Who may speak at the embedded broker: anybody while there is no owner, then who has the login of the devices.
 * A record that cannot be read opens to nobody.
 * @returns the door, and the login of the daemon's own devices
 */
export function createBrokerDoor({ record, secrets }: { record: AccessRecord; secrets: Secrets }): {
  door: BrokerDoor;
  houseLogin: { readonly username: string; readonly password: string };
} {
  const password = secrets.token();
  const house = { name: HOUSE_LOGIN, fingerprint: secrets.fingerprint(password) };
  const current = () => [house, record.deviceLogin()].filter((login) => login !== null);
  const door: BrokerDoor = {
    open: () => orElse(() => !record.owned(), false),
    ticketOf({ name, secret }) {
      const fingerprint = secrets.fingerprint(secret);
      const fits = (login: { name: string; fingerprint: string }) =>
        login.name === name && secrets.same(login.fingerprint, fingerprint);
      return orElse(() => current().find(fits)?.fingerprint ?? null, null);
    },
    holds: (ticket) =>
      orElse(
        () => !record.owned() || (ticket !== null && current().some((login) => login.fingerprint === ticket)),
        false,
      ),
  };
  return { door, houseLogin: { username: HOUSE_LOGIN, password } };
}

function orElse<T>(ask: () => T, otherwise: T): T {
  try {
    return ask();
  } catch (cause) {
    if (cause instanceof Fault) return otherwise;
    throw cause;
  }
}
