import { Fault } from '../../../shared/faults.ts';
import type { Role } from '../../../shared/model/roles.ts';
import type { Account, DeviceLogin } from '../../../shared/wire/access.ts';
import type { Access, AccessRecord, KeptAccount, KeptDeviceLogin } from '../../ports.ts';
import type { AccessDeps } from './deps.ts';

type Accounts = Pick<
  Access,
  'accounts' | 'addAccount' | 'patchAccount' | 'removeAccount' | 'deviceLogin' | 'makeDeviceLogin'
>;

/** Most accounts a house has. */
export const MAX_ACCOUNTS = 100;

/** The accounts of a house and the login its devices share. */
export function createAccounts({ record, secrets, clock, onChange }: AccessDeps): Accounts {
  return {
    accounts: () => record.accounts().map(accountOf),
    async addAccount({ name, role, password }) {
      const kept = await secrets.keep(password);
      if (!record.owned())
        throw badRequest('Set the owner password first: until then everybody may do everything.');
      if (record.account(name) !== null) throw badRequest(`There is an account "${name}" already.`);
      if (record.accounts().length >= MAX_ACCOUNTS)
        throw badRequest(`There are ${MAX_ACCOUNTS} accounts already.`);
      return accountOf(record.addAccount({ name, role, password: kept, createdMs: clock.nowMs() }));
    },
    async patchAccount(id, { role, password }) {
      const kept = password === undefined ? null : await secrets.keep(password);
      const account = accountIn(record, id);
      if (role !== undefined && role !== account.role) {
        if (role !== 'own') keepAnOwner(record, account);
        record.setRole(id, role);
      }
      if (kept !== null) {
        record.setPassword(id, kept);
        record.removeSessionsOf(id, null);
      }
      onChange();
      return accountOf(accountIn(record, id));
    },
    removeAccount(id) {
      keepAnOwner(record, accountIn(record, id));
      record.removeAccount(id);
      onChange();
    },
    deviceLogin() {
      const login = record.deviceLogin();
      return login === null ? null : loginOf(login);
    },
    makeDeviceLogin(name) {
      if (record.device(name) !== null) throw badRequest(`"${name}" is a device with a login of its own.`);
      const secret = secrets.token();
      const login = { name, fingerprint: secrets.fingerprint(secret), createdMs: clock.nowMs() };
      record.setDeviceLogin(login);
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

/** Without an owner the house would stand open again. */
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
