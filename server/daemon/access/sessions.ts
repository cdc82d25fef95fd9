import { Fault } from '../../../shared/faults.ts';
import type { SessionRow } from '../../../shared/wire/access.ts';
import { confirmNeeded } from '../../domain/access/confirm-needed.ts';
import { SEEN_EVERY_MS, sessionEndMs, sessionsToEnd } from '../../domain/access/session.ts';
import type { Actor, Asker, Guest, KeptSession, SignedIn } from '../../ports.ts';
import type { AccessParts } from './deps.ts';

/** Longest text kept of what a browser calls itself. */
const MAX_AGENT_CHARACTERS = 160;

/** Whether sessions still last; their use is noted. */
function createUse({
  record,
  clock,
  mayForget = () => true,
}: Pick<AccessParts, 'record' | 'clock' | 'mayForget'>) {
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
    const current = living(session);
    const nowMs = clock.nowMs();
    if (current !== null && nowMs - current.seenMs >= SEEN_EVERY_MS) {
      ifThereIsRoom(() => record.seen(current.id, nowMs));
    }
    return current;
  };
  return { living, used };
}

/** Who is signed in, and for how long. */
export function createSessions(parts: AccessParts) {
  const { record, secrets, clock, onChange, events, confirmations } = parts;
  const { living, used } = createUse(parts);
  const mayEnd = (guest: Guest | null, { accountId }: KeptSession) =>
    guest === null ? !record.owned() : guest.role === 'own' || guest.accountId === accountId;
  return {
    /** Begins a session for an account whose password was just given. */
    begin(accountId: number, { address, agent }: Asker): SignedIn {
      const own = record.sessions().filter((session) => session.accountId === accountId);
      for (const id of sessionsToEnd(own)) record.removeSession(id);
      const token = secrets.token();
      const id = record.addSession({
        fingerprint: secrets.fingerprint(token),
        accountId,
        createdMs: clock.nowMs(),
        address,
        agent: agent.slice(0, MAX_AGENT_CHARACTERS),
      });
      const session = record.session(id);
      if (session === null) throw new Error('the record holds no session that was just begun');
      confirmations.given(id);
      events.note({ kind: 'signed-in', who: session.name, address });
      return { guest: guestIn(session), token };
    },
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
    endSession(guest: Guest | null, id: number, { name, address }: Actor) {
      const session = record.session(id);
      if (session === null || !mayEnd(guest, session)) {
        throw new Fault({ code: 'not-found', message: 'There is no such session.' });
      }
      const others = guest !== null && session.accountId !== guest.accountId;
      if (others && !confirmations.holds(guest.sessionId)) throw confirmNeeded();
      record.removeSession(id);
      if (id !== guest?.sessionId) {
        events.note({ kind: 'session-ended', who: name, whom: session.name, address, note: session.address });
      }
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
    id,
    name,
    role,
    address,
    agent,
    own: guest?.sessionId === id,
    createdAt: iso(createdMs),
    seenAt: iso(seenMs),
    expiresAt: iso(sessionEndMs(session)),
  };
}
