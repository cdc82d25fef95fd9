import { Fault } from '../../../shared/faults.ts';
import type { Role } from '../../../shared/model/people/roles.ts';
import type { Account, DeviceLogin } from '../../../shared/wire/access.ts';
import type { Access, AccessRecord, KeptAccount, KeptDeviceLogin } from '../../ports.ts';
import type { AccessParts } from './deps.ts';

type Accounts = Pick<
  Access,
  'accounts' | 'addAccount' | 'patchAccount' | 'removeAccount' | 'deviceLogin' | 'makeDeviceLogin'
>;

/** Most accounts an installation has. */
const MAX_ACCOUNTS = 100;

type AccountDeps = AccessParts & {
  /** @throws Fault for a password that is easy to guess */
  readonly requireGood: (chosen: { password: string; names: readonly string[] }) => Promise<void>;
};

/** The accounts of an installation and the login its devices share. */
export function createAccounts(deps: AccountDeps): Accounts {
  const { record, secrets, clock, onChange, events, requireGood } = deps;
  return {
    accounts: () => record.accounts().map(accountOf),
    async addAccount({ name, role, password }, by) {
      await requireGood({ password, names: [name] });
      const kept = await secrets.keep(password);
      if (!record.owned())
        throw badRequest('Set the owner password first: until then everybody may do everything.');
      if (record.account(name) !== null) throw badRequest(`There is an account "${name}" already.`);
      if (record.accounts().length >= MAX_ACCOUNTS)
        throw badRequest(`There are ${MAX_ACCOUNTS} accounts already.`);
      const account = record.addAccount({ name, role, password: kept, createdMs: clock.nowMs() });
      events.note({ kind: 'account-added', who: by.name, whom: name, address: by.address, note: role });
      return accountOf(account);
    },
    async patchAccount(id, { role, password }, by) {
      if (password !== undefined) await requireGood({ password, names: [accountIn(record, id).name] });
      const kept = password === undefined ? null : await secrets.keep(password);
      const account = accountIn(record, id);
      const note = (kind: 'role-changed' | 'password-reset', words?: string) =>
        events.note({ kind, who: by.name, whom: account.name, address: by.address, note: words ?? '' });
      if (role !== undefined && role !== account.role) {
        if (role !== 'own') keepAnOwner(record, account);
        record.setRole(id, role);
        note('role-changed', `${account.role} to ${role}`);
      }
      if (kept !== null) {
        record.setPassword(id, kept);
        record.removeSessionsOf(id, null);
        note('password-reset');
      }
      onChange();
      return accountOf(accountIn(record, id));
    },
    removeAccount(id, by) {
      const account = accountIn(record, id);
      keepAnOwner(record, account);
      record.removeAccount(id);
      events.note({ kind: 'account-removed', who: by.name, whom: account.name, address: by.address });
      onChange();
    },
    deviceLogin() {
      const login = record.deviceLogin();
      return login === null ? null : loginOf(login);
    },
    makeDeviceLogin(name, by) {
      if (record.device(name) !== null) throw badRequest(`"${name}" is a device with a login of its own.`);
      const secret = secrets.token();
      const login = { name, fingerprint: secrets.fingerprint(secret), createdMs: clock.nowMs() };
      record.setDeviceLogin(login);
      events.note({ kind: 'device-login', who: by.name, whom: name, address: by.address });
      onChange();
      return { ...loginOf(login), secret };
    },
  };
}

function accountIn(record: AccessRecord, id: number): KeptAccount {
  const account = record.accounts().find((one) => one.id === id);
  if (account) return account;
  throw new Fault({ code: 'not-found', message: 'There is no such account.' });
}

/** Without an owner the installation would stand open again. */
function keepAnOwner(record: AccessRecord, { id, role }: { id: number; role: Role }): void {
  const others = record.accounts().filter((one) => one.role === 'own' && one.id !== id);
  if (role !== 'own' || others.length > 0) return;
  throw badRequest('This is the only account that owns the house; make another one an owner first.');
}

function accountOf({ id, name, role, createdMs }: KeptAccount): Account {
  return { id, name, role, createdAt: new Date(createdMs).toISOString() };
}

function loginOf({ name, createdMs }: KeptDeviceLogin): DeviceLogin {
  return { name, createdAt: new Date(createdMs).toISOString() };
}

function badRequest(message: string): Fault {
  return new Fault({ code: 'bad-request', message });
}
