import type { NewCredential, TokenScope, UsedCredential } from '../../../shared/model/people/access.ts';
import type { Role } from '../../../shared/model/people/roles.ts';
import type {
  AccessAnswer,
  AccessEventsAnswer,
  Account,
  ApiToken,
  DeviceLogin,
  NewApiToken,
  NewDeviceLogin,
  PasskeyOffer,
  PasskeyRow,
  PasskeyStep,
  SessionRow,
} from '../../../shared/wire/access.ts';
import type { AccessEventLog, NewAccessEvent } from './access-events.ts';
import type { DeviceLogins } from './devices.ts';
import type { PasskeyRecord, Site } from './passkeys.ts';

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

/** A token of a program as it is kept, without what it is known by. */
export type KeptApiToken = {
  readonly id: number;
  readonly name: string;
  readonly scope: TokenScope;
  readonly createdMs: number;
};

/** Tokens of programs that read. */
export type ApiTokenRecord = {
  apiTokens(): KeptApiToken[];
  apiTokenBy(fingerprint: string): KeptApiToken | null;
  addApiToken(token: Omit<KeptApiToken, 'id'> & { readonly fingerprint: string }): KeptApiToken;
  removeApiToken(id: number): void;
};

/** Accounts, sessions and the logins of devices. Whatever is changed here counts at once. */
export type AccessRecord = AccessEventLog &
  ApiTokenRecord &
  DeviceLogins &
  PasskeyRecord & {
    /** whether there is an account that owns the installation */
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
  /** Compares two fingerprints in a time that does not depend on how much of them fits. */
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
/** Who changes something, and from where; a null name while nobody has to sign in. */
export type Actor = { readonly name: string | null; readonly address: string };

/** Words that many people use as a password. */
export type CommonPasswords = {
  /** Whether one of them is in the list; they are given in lower case. */
  has(words: readonly string[]): Promise<boolean>;
};

/** Who may ask and order. Every password is tried here, one at a time. */
export type Access = {
  /** True once an owner password is set: then everybody must say who they are. */
  closed(): boolean;
  /** Who holds this session, or null; notes that it was used. */
  guestOf(token: string | null): Guest | null;
  /** Whether a session still holds. */
  holds(sessionId: number): boolean;
  answer(query: { guest: Guest | null; encrypted: boolean }): AccessAnswer;
  /** Sets the first owner password. @throws Fault `bad-request` when there is one, or for one easy to guess */
  setOwner(password: string, asker: Asker): Promise<SignedIn>;
  /**
   * Tries name and password.
   * @param site of the page that asks; null where no passkey can be used
   * @returns the session, or the next step where the account has passkeys
   * @throws Fault `sign-in-failed`, `too-many-attempts`, `passkey-needed`
   */
  signIn(
    tried: { name: string; password: string },
    asker: Asker,
    site: Site | null,
  ): Promise<SignedIn | PasskeyStep>;
  /** The second step. @throws Fault `sign-in-failed`, `too-many-attempts` */
  signInWithPasskey(tried: { ticket: string; credential: UsedCredential }, asker: Asker): Promise<SignedIn>;
  signOut(guest: Guest): void;
  /** Gives the password again, for the session. @throws Fault `sign-in-failed`, `too-many-attempts` */
  confirm(guest: Guest, password: string, asker: Asker): Promise<{ readonly until: string }>;
  /** Whether the password was given for this session of late. */
  confirmed(guest: Guest): boolean;
  /** What makes a password easy to guess, as a sentence without its full stop; null for nothing. */
  passwordProblem(password: string, names: readonly string[]): Promise<string | null>;
  /** Ends all other sessions of the account. @throws Fault `sign-in-failed`, `too-many-attempts`, `bad-request` */
  changePassword(guest: Guest, order: { current: string; password: string }, asker: Asker): Promise<void>;
  accounts(): Account[];
  /** @throws Fault `bad-request` for a name there is, or a password easy to guess */
  addAccount(account: { name: string; role: Role; password: string }, by: Actor): Promise<Account>;
  /** A new password ends the sessions of the account. @throws Fault `not-found`, `bad-request` */
  patchAccount(
    id: number,
    patch: { role?: Role | undefined; password?: string | undefined },
    by: Actor,
  ): Promise<Account>;
  /** @throws Fault `not-found`; `bad-request` for the last that owns the installation */
  removeAccount(id: number, by: Actor): void;
  /** Those of the guest; of everybody when it owns the installation, or when nobody has to sign in. */
  sessions(guest: Guest | null): SessionRow[];
  /**
   * @throws Fault `not-found`, also for a session that is not the guest's to end; `confirm-needed` for one of
   * somebody else
   */
  endSession(guest: Guest | null, id: number, by: Actor): void;
  deviceLogin(): DeviceLogin | null;
  /** Makes a new secret for devices; the old one no longer counts. */
  makeDeviceLogin(name: string, by: Actor): NewDeviceLogin;
  /** Those of the guest; of everybody when it owns the installation. */
  passkeys(guest: Guest): PasskeyRow[];
  /** What the browser is to be asked. @throws Fault `bad-request` where no passkey can be made */
  offerPasskey(guest: Guest, site: Site | null): Promise<PasskeyOffer>;
  /** @throws Fault `bad-request` for an answer that does not prove itself */
  addPasskey(
    guest: Guest,
    made: { ticket: string; name: string; credential: NewCredential },
    by: Actor,
  ): Promise<PasskeyRow>;
  /** @throws Fault `not-found`, also for one that is not the guest's to remove */
  removePasskey(guest: Guest, id: number, by: Actor): void;
  /** Tokens of programs that read. */
  tokens(): ApiToken[];
  /** Makes one; its text is in this answer alone. @throws Fault `bad-request` for a name there is, or one too many */
  addToken(token: { readonly name: string; readonly scope: TokenScope }, by: Actor): NewApiToken;
  /** It counts no more. @throws Fault `not-found` */
  removeToken(id: number, by: Actor): void;
  /** Whose token that is, or null. */
  tokenOf(text: string): KeptApiToken | null;
  /** Keeps what happened; never fails for a full disk. */
  note(event: NewAccessEvent): void;
  /** What happened, newest first. */
  events(query: { limit: number; beforeId: number | null }): AccessEventsAnswer;
  /** Writes what was gathered and is due; at the end of the daemon, all of it. */
  settle(how: 'due' | 'all'): void;
};
