import type { Role } from '../../shared/model/roles.ts';
import type {
  AccessAnswer,
  Account,
  DeviceLogin,
  NewDeviceLogin,
  SessionRow,
} from '../../shared/wire/access.ts';
import type { DeviceLogins } from './devices.ts';

/** An account as it is kept; `password` is what `Secrets.keep` made of it. */
export type KeptAccount = {
  readonly id: number;
  readonly name: string;
  readonly role: Role;
  readonly password: string;
  readonly createdMs: number;
};

/** A session as it is kept, with the account it belongs to. */
export type KeptSession = {
  readonly id: number;
  readonly accountId: number;
  readonly name: string;
  readonly role: Role;
  readonly createdMs: number;
  readonly seenMs: number;
  readonly address: string;
  readonly agent: string;
};

export type KeptDeviceLogin = {
  readonly name: string;
  readonly fingerprint: string;
  readonly createdMs: number;
};

type NewSession = Omit<KeptSession, 'id' | 'name' | 'role' | 'seenMs'> & { readonly fingerprint: string };

/** Accounts, sessions and the logins of devices. Whatever is changed here counts at once. */
export type AccessRecord = DeviceLogins & {
  /** whether there is an account that owns the house */
  owned(): boolean;
  accounts(): KeptAccount[];
  account(name: string): KeptAccount | null;
  addAccount(account: Omit<KeptAccount, 'id'>): KeptAccount;
  setPassword(id: number, password: string): void;
  setRole(id: number, role: Role): void;
  /** with its sessions */
  removeAccount(id: number): void;
  sessions(): KeptSession[];
  session(id: number): KeptSession | null;
  sessionBy(fingerprint: string): KeptSession | null;
  addSession(session: NewSession): number;
  seen(id: number, seenMs: number): void;
  removeSession(id: number): void;
  removeSessionsOf(accountId: number, besides: number | null): void;
  deviceLogin(): KeptDeviceLogin | null;
  /** in the place of the one there was */
  setDeviceLogin(login: KeptDeviceLogin): void;
};

/** What keeps secrets from being read where they are kept. */
export type Secrets = {
  /** A password made into what may be kept: salted and slow to try. */
  keep(password: string): Promise<string>;
  /** Whether it is the password; takes as long for null, where there is none. */
  fits(password: string, kept: string | null): Promise<boolean>;
  /** 256 random bits as text. */
  token(): string;
  /** What is kept of a random token. */
  fingerprint(token: string): string;
  /** Compares two fingerprints in a time that does not tell how much of them fits. */
  same(a: string, b: string): boolean;
};

/** Somebody who signed in. */
export type Guest = {
  readonly sessionId: number;
  readonly accountId: number;
  readonly name: string;
  readonly role: Role;
};

/** From where somebody asks. */
export type Asker = { readonly address: string; readonly agent: string };
export type SignedIn = { readonly guest: Guest; readonly token: string };

/** Who may ask and order. Every password is tried here, one at a time. */
export type Access = {
  /** True once an owner password is set: then everybody must say who they are. */
  closed(): boolean;
  /** Who holds this session, or null; notes that it was used. */
  guestOf(token: string | null): Guest | null;
  /** Whether a session still holds. */
  holds(sessionId: number): boolean;
  answer(query: { guest: Guest | null; encrypted: boolean }): AccessAnswer;
  /** Sets the first owner password. @throws Fault `bad-request` when there is one */
  setOwner(password: string, asker: Asker): Promise<SignedIn>;
  /** @throws Fault `sign-in-failed`, `too-many-attempts` */
  signIn(tried: { name: string; password: string }, asker: Asker): Promise<SignedIn>;
  signOut(guest: Guest): void;
  /** Ends all other sessions of the account. @throws Fault `sign-in-failed`, `too-many-attempts` */
  changePassword(guest: Guest, order: { current: string; password: string }, asker: Asker): Promise<void>;
  accounts(): Account[];
  /** @throws Fault `bad-request` for a name there is */
  addAccount(account: { name: string; role: Role; password: string }): Promise<Account>;
  /** A new password ends the sessions of the account. @throws Fault `not-found`, `bad-request` */
  patchAccount(
    id: number,
    patch: { role?: Role | undefined; password?: string | undefined },
  ): Promise<Account>;
  /** @throws Fault `not-found`; `bad-request` for the last that owns the house */
  removeAccount(id: number): void;
  /** Those of the guest; of everybody when it owns the house, or when nobody has to sign in. */
  sessions(guest: Guest | null): SessionRow[];
  /** @throws Fault `not-found`, also for a session that is not the guest's to end */
  endSession(guest: Guest | null, id: number): void;
  deviceLogin(): DeviceLogin | null;
  /** Makes a new secret for devices; the old one no longer counts. */
  makeDeviceLogin(name: string): NewDeviceLogin;
};
