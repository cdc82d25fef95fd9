import { Fault } from '../../../shared/faults.ts';
import type { UsedCredential } from '../../../shared/model/people/access.ts';
import type { PasskeyStep } from '../../../shared/wire/access.ts';
import type { Access, AccessRecord, Asker, KeptAccount, KeptPasskey, SignedIn, Site } from '../../ports.ts';
import type { AccessParts } from './deps.ts';
import { createGate } from './gate.ts';
import { createSteps } from './steps.ts';

type SignIn = Pick<Access, 'signIn' | 'signInWithPasskey' | 'confirm' | 'confirmed' | 'changePassword'>;
type Step = { readonly account: KeptAccount; readonly site: Site; readonly challenge: string };
type Refusal = 'sign-in-refused' | 'passkey-refused' | 'confirm-refused';
type Trying = { readonly kind: Refusal; readonly who: string | null; readonly asker: Asker };
type Chosen = { readonly password: string; readonly names: readonly string[] };

type SignInDeps = AccessParts & {
  readonly begin: (accountId: number, asker: Asker) => SignedIn;
  /** @throws Fault for a password that is easy to guess */
  readonly requireGood: (chosen: Chosen) => Promise<void>;
};

/** Whatever tries a password or a passkey: one at a time, ever more slowly for an address that guesses. */
export function createSignIn(deps: SignInDeps): SignIn {
  const { record, secrets, confirmations, onChange, events, begin } = deps;
  const attempt = createAttempts(deps);
  const factor = createSecondFactor(deps);

  const requirePassword = async ({ name }: { name: string }, password: string, asker: Asker) => {
    const account = record.account(name);
    const trying = { kind: 'confirm-refused' as const, who: name, asker };
    const fits = await attempt(trying, () => secrets.fits(password, account?.password ?? null));
    if (fits && isUnchanged(record, account)) return;
    throw new Fault({ code: 'sign-in-failed', message: 'The current password does not fit.' });
  };
  return {
    async signIn({ name, password }, asker, site) {
      const account = record.account(name.trim().normalize('NFC'));
      const who = account?.name ?? null;
      const trying = { kind: 'sign-in-refused' as const, who, asker };
      const fits = await attempt(trying, () => secrets.fits(password, account?.password ?? null));
      if (!fits || account === null || !isUnchanged(record, account)) throw refused(deps, asker);
      const passkeys = record.passkeysOf(account.id);
      if (passkeys.length === 0) return begin(account.id, asker);
      return factor.ask(account, { site, passkeys, address: asker.address });
    },
    async signInWithPasskey({ ticket, credential }, asker) {
      const step = factor.take(ticket);
      const trying = { kind: 'passkey-refused' as const, who: step?.account.name ?? null, asker };
      const fits = await attempt(trying, async () => step !== null && factor.fits(step, credential));
      if (fits && step !== null && isUnchanged(record, step.account)) return begin(step.account.id, asker);
      const message = 'The passkey does not fit, or came too late: sign in again.';
      throw new Fault({ code: 'sign-in-failed', message });
    },
    async confirm(guest, password, asker) {
      await requirePassword(guest, password, asker);
      return { until: new Date(confirmations.given(guest.sessionId)).toISOString() };
    },
    confirmed: ({ sessionId }) => confirmations.holds(sessionId),
    async changePassword(guest, { current, password }, asker) {
      await requirePassword(guest, current, asker);
      await deps.requireGood({ password, names: [guest.name] });
      record.setPassword(guest.accountId, await secrets.keep(password));
      record.removeSessionsOf(guest.accountId, guest.sessionId);
      const { address } = asker;
      events.note({ kind: 'password-changed', who: guest.name, whom: guest.name, address });
      onChange();
    },
  };
}

/** Tries, and keeps what was refused; of a name nobody has nothing is kept, as it may be a password. */
function createAttempts({ record, clock, events }: AccessParts) {
  const isKnown = (address: string) => record.sessions().some((session) => session.address === address);
  const gate = createGate({ clock, isKnown });
  return async ({ kind, who, asker }: Trying, tries: () => Promise<boolean>): Promise<boolean> => {
    const { address } = asker;
    try {
      const fits = await gate.attempt(address, tries);
      if (!fits) events.note({ kind, who, address });
      return fits;
    } catch (cause) {
      const slowed = cause instanceof Fault && cause.code === 'too-many-attempts';
      if (slowed) events.note({ kind: 'too-many-attempts', who, address });
      throw cause;
    }
  };
}

/** The second step, where an account has passkeys. */
function createSecondFactor(parts: AccessParts) {
  const { record, clock, events, passkeyCheck } = parts;
  const steps = createSteps<Step>(parts);
  return {
    take: steps.take,
    async ask(
      account: KeptAccount,
      { address, ...query }: Where & { address: string },
    ): Promise<PasskeyStep> {
      const usable = usableAt(query);
      events.note({ kind: usable ? 'passkey-asked' : 'passkey-refused', who: account.name, address });
      if (usable === null) throw elsewhere(query.passkeys);
      const { options, challenge } = await passkeyCheck.ask(usable);
      const { ticket, untilMs } = steps.begin({ account, site: usable.site, challenge });
      return { passkey: { ticket, options, until: new Date(untilMs).toISOString() } };
    },
    async fits({ account, site, challenge }: Step, credential: UsedCredential): Promise<boolean> {
      const held = () => record.passkeysOf(account.id).find((one) => one.credential === credential.id);
      const passkey = held();
      if (!passkey || passkey.host !== site.host) return false;
      const used = await passkeyCheck.used(credential, { site, challenge, passkey });
      // while it was checked, it may have been removed
      if (used === null || held() === undefined) return false;
      record.usedPasskey({ id: passkey.id, counter: used.counter, usedMs: clock.nowMs() });
      return true;
    },
  };
}

/** Whether the account is as it was when its password was tried: not given another since, and not removed. */
function isUnchanged(record: AccessRecord, account: KeptAccount | null): boolean {
  return account !== null && record.account(account.name)?.password === account.password;
}

function refused({ log }: AccessParts, { address }: Asker): Fault {
  log.warn('a sign-in failed', { address });
  return new Fault({ code: 'sign-in-failed', message: 'Name and password do not fit.' });
}

type Where = { readonly site: Site | null; readonly passkeys: readonly KeptPasskey[] };

/** The passkeys that work where somebody signs in; null for none. */
function usableAt({ site, passkeys }: Where): { site: Site; passkeys: readonly KeptPasskey[] } | null {
  const usable = passkeys.filter(({ host }) => host === site?.host);
  return site !== null && usable.length > 0 ? { site, passkeys: usable } : null;
}

function elsewhere(passkeys: readonly KeptPasskey[]): Fault {
  const hosts = [...new Set(passkeys.map(({ host }) => host))].join(', ');
  const message =
    `This account signs in with a passkey as well, which works at ${hosts} only: open the page there. If it is ` +
    'lost, the owner removes it; the owner’s own, "strikewell owner --remove-passkeys" on the machine.';
  return new Fault({ code: 'passkey-needed', message });
}
