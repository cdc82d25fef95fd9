import { Fault } from '../../../shared/faults.ts';
import { OWNER_NAME } from '../../../shared/model/people/roles.ts';
import { routesFor } from '../../domain/access/routes.ts';
import type { Access, Asker } from '../../ports.ts';
import { createAccounts } from './accounts.ts';
import { createConfirmations } from './confirmations.ts';
import type { AccessDeps, AccessParts } from './deps.ts';
import { createEvents } from './events.ts';
import { createPasskeys } from './passkeys.ts';
import { passwordProblem, requireGood } from './passwords.ts';
import { createSessions } from './sessions.ts';
import { createSignIn } from './sign-in.ts';
import { createTokens } from './tokens.ts';

/** Who may ask and order, by accounts and sessions that are kept in the record. */
export function createAccess(deps: AccessDeps): Access {
  const { record, common } = deps;
  const events = createEvents(deps);
  const parts = { ...deps, events, confirmations: createConfirmations(deps) };
  const { begin, ...sessions } = createSessions(parts);
  const good = (chosen: Parameters<typeof requireGood>[1]) => requireGood(common, chosen);
  return {
    closed: () => record.owned(),
    ...sessions,
    ...createSignIn({ ...parts, begin, requireGood: good }),
    ...createAccounts({ ...parts, requireGood: good }),
    ...createPasskeys(parts),
    ...createTokens(parts),
    ...events,
    answer({ guest, encrypted }) {
      const closed = record.owned();
      const who = guest === null ? null : { name: guest.name, role: guest.role };
      return { closed, who, may: routesFor(closed ? (who?.role ?? null) : 'own'), encrypted };
    },
    passwordProblem: (password, names) => passwordProblem(common, { password, names }),
    async setOwner(password, asker) {
      await good({ password, names: [OWNER_NAME] });
      return begin(await addOwner(parts, { password, asker }), asker);
    },
  };
}

/** @returns id of the account */
async function addOwner(
  { record, secrets, clock, log, onChange, events }: AccessParts,
  { password, asker }: { password: string; asker: Asker },
): Promise<number> {
  const kept = await secrets.keep(password);
  if (record.owned()) {
    const message = 'An owner password is set already; sign in to change it.';
    throw new Fault({ code: 'bad-request', message });
  }
  const { id } = record.addAccount({
    name: OWNER_NAME,
    role: 'own',
    password: kept,
    createdMs: clock.nowMs(),
  });
  events.note({ kind: 'owner-set', who: null, whom: OWNER_NAME, address: asker.address });
  log.info('an owner password was set: from now on everybody signs in');
  onChange();
  return id;
}
