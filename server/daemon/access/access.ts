import { Fault } from '../../../shared/faults.ts';
import { OWNER_NAME } from '../../../shared/model/roles.ts';
import type { SessionRow } from '../../../shared/wire/access.ts';
import { routesFor } from '../../domain/access/routes.ts';
import { SEEN_EVERY_MS, sessionEndMs, sessionsToEnd } from '../../domain/access/session.ts';
import type { Access, Asker, Guest, KeptSession, SignedIn } from '../../ports.ts';
import { createAccounts } from './accounts.ts';
import type { AccessDeps } from './deps.ts';
import { createGate } from './gate.ts';

/** Longest text kept of what a browser calls itself. */
const MAX_AGENT_CHARACTERS = 160;

/** Who may ask and order, by accounts and sessions that are kept in the record. */
export function createAccess(deps: AccessDeps): Access {
  const { record, secrets, clock, log, onChange } = deps;
  const isKnown = (address: string) => record.sessions().some((session) => session.address === address);
  const gate = createGate({ clock, isKnown });
  const { begin, living, ...sessions } = createSessions(deps);
  const accounts = createAccounts(deps);
  return {
    closed: () => record.owned(),
    ...sessions,
    ...accounts,
    answer({ guest, encrypted }) {
      const closed = record.owned();
      const who = guest === null ? null : { name: guest.name, role: guest.role };
      return { closed, who, may: routesFor(closed ? (who?.role ?? null) : 'own'), encrypted };
    },
    async setOwner(password, asker) {
      const kept = await secrets.keep(password);
      if (record.owned()) throw badRequest('An owner password is set already; sign in to change it.');
      const { id } = record.addAccount({
        ...{ name: OWNER_NAME, role: 'own' as const },
        ...{ password: kept, createdMs: clock.nowMs() },
      });
      const signedIn = begin(id, asker);
      log.info('an owner password was set: from now on everybody signs in');
      onChange();
      return signedIn;
    },
    async signIn({ name, password }, asker) {
      const account = record.account(name.trim());
      const fits = await gate.attempt(asker.address, () => secrets.fits(password, account?.password ?? null));
      // while the password was tried, the account may have been given another, or removed
      const now = record.account(name.trim());
      if (!fits || account === null || now?.password !== account.password) {
        log.warn('a sign-in failed', { address: asker.address });
        throw new Fault({ code: 'sign-in-failed', message: 'Name and password do not fit.' });
      }
      return begin(account.id, asker);
    },
    async changePassword(guest, { current, password }, asker) {
      const account = record.account(guest.name);
      const fits = await gate.attempt(asker.address, () => secrets.fits(current, account?.password ?? null));
      if (!fits) throw new Fault({ code: 'sign-in-failed', message: 'The current password does not fit.' });
      const kept = await secrets.keep(password);
      record.setPassword(guest.accountId, kept);
      record.removeSessionsOf(guest.accountId, guest.sessionId);
      onChange();
    },
  };
}

function createSessions({ record, secrets, clock, onChange, mayForget = () => true }: AccessDeps) {
  /** On a full disk reading goes on: what cannot be noted of a session now is noted at its next use. */
  const ifThereIsRoom = (note: () => void) => {
    try {
      note();
    } catch (cause) {
      if (!(cause instanceof Fault) || cause.code !== 'store-failed') throw cause;
    }
  };
  /** A session that has not run out; one that has is removed. */
  const living = (session: KeptSession | null): KeptSession | null => {
    if (session === null || clock.nowMs() < sessionEndMs(session)) return session;
    if (mayForget()) ifThereIsRoom(() => record.removeSession(session.id));
    return null;
  };
  const used = (session: KeptSession | null): KeptSession | null => {
    const alive = living(session);
    const nowMs = clock.nowMs();
    if (alive !== null && nowMs - alive.seenMs >= SEEN_EVERY_MS) {
      ifThereIsRoom(() => record.seen(alive.id, nowMs));
    }
    return alive;
  };
  const begin = (accountId: number, { address, agent }: Asker): SignedIn => {
    const own = record.sessions().filter((session) => session.accountId === accountId);
    for (const id of sessionsToEnd(own)) record.removeSession(id);
    const token = secrets.token();
    const fingerprint = secrets.fingerprint(token);
    const id = record.addSession({
      ...{ fingerprint, accountId, createdMs: clock.nowMs(), address },
      agent: agent.slice(0, MAX_AGENT_CHARACTERS),
    });
    const session = record.session(id);
    if (session === null) throw new Error('the record holds no session that was just begun');
    return { guest: guestIn(session), token };
  };
  const mayEnd = (guest: Guest | null, { accountId }: KeptSession) =>
    guest === null ? !record.owned() : guest.role === 'own' || guest.accountId === accountId;
  return {
    living,
    begin,
    guestOf(token: string | null) {
      if (token === null) return null;
      const session = used(record.sessionBy(secrets.fingerprint(token)));
      return session === null ? null : guestIn(session);
    },
    holds: (sessionId: number) => used(record.session(sessionId)) !== null,
    signOut(guest: Guest) {
      record.removeSession(guest.sessionId);
      onChange();
    },
    sessions: (guest: Guest | null) =>
      record
        .sessions()
        .filter((session) => living(session) !== null && mayEnd(guest, session))
        .map((session) => rowOf(session, guest)),
    endSession(guest: Guest | null, id: number) {
      const session = record.session(id);
      if (session === null || !mayEnd(guest, session)) {
        throw new Fault({ code: 'not-found', message: 'There is no such session.' });
      }
      record.removeSession(id);
      onChange();
    },
  };
}

function guestIn({ id, accountId, name, role }: KeptSession): Guest {
  return { sessionId: id, accountId, name, role };
}

function rowOf(session: KeptSession, guest: Guest | null): SessionRow {
  const { id, name, role, createdMs, seenMs, address, agent } = session;
  const iso = (ms: number) => new Date(ms).toISOString();
  return {
    ...{ id, name, role, address, agent, own: guest?.sessionId === id },
    ...{ createdAt: iso(createdMs), seenAt: iso(seenMs), expiresAt: iso(sessionEndMs(session)) },
  };
}

function badRequest(message: string): Fault {
  return new Fault({ code: 'bad-request', message });
}
