import type { AccessRecord, BrokerDoor, Secrets } from '../../ports.ts';

/** The name under which the daemon's own simulated devices log in; its secret never leaves the process. */
const HOUSE_LOGIN = 'strikewell.house';

/**
 * Who may speak at the embedded broker: anybody while there is no owner, then who has the login of the devices.
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
    open: () => !record.owned(),
    ticketOf({ name, secret }) {
      const fingerprint = secrets.fingerprint(secret);
      const fitting = current().find(
        (login) => login.name === name && secrets.same(login.fingerprint, fingerprint),
      );
      return fitting?.fingerprint ?? null;
    },
    holds: (ticket) =>
      !record.owned() || (ticket !== null && current().some((login) => login.fingerprint === ticket)),
  };
  return { door, houseLogin: { username: HOUSE_LOGIN, password } };
}
