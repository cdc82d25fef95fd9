import { Fault } from '../../../shared/faults.ts';
import { OWNER_NAME } from '../../../shared/model/people/roles.ts';
import type { AccessRecord, CommonPasswords, Secrets } from '../../ports.ts';
import { createEvents } from './events.ts';
import { requireGood } from './passwords.ts';

type AtTheMachine = { readonly record: AccessRecord; readonly nowMs: number };
type Setting = AtTheMachine & { readonly secrets: Secrets; readonly common: CommonPasswords };

/**
 * Gives the account "owner" a password, making the account where it is missing; whoever was signed in with it is
 * signed out, and it owns the installation again.
 * @returns whether there was such an account before, and how many passkeys it still signs in with
 * @throws Fault `bad-request` for a password that is easy to guess
 */
export async function setOwnerPassword(
  { record, secrets, common, nowMs }: Setting,
  password: string,
): Promise<{ readonly reset: boolean; readonly passkeys: number }> {
  await requireGood(common, { password, names: [OWNER_NAME] });
  const kept = await secrets.keep(password);
  const account = record.account(OWNER_NAME);
  if (account === null) {
    record.addAccount({ name: OWNER_NAME, role: 'own', password: kept, createdMs: nowMs });
    note({ record, nowMs }, 'owner-set');
    return { reset: false, passkeys: 0 };
  }
  record.setPassword(account.id, kept);
  record.setRole(account.id, 'own');
  record.removeSessionsOf(account.id, null);
  note({ record, nowMs }, 'owner-reset');
  return { reset: true, passkeys: record.passkeysOf(account.id).length };
}

/**
 * Takes a lost passkey from the account "owner", which then signs in with its password alone; whoever was signed in
 * with it is signed out.
 * @returns how many were removed
 * @throws Fault `not-found` without such an account
 */
export function removeOwnerPasskeys({ record, nowMs }: AtTheMachine): number {
  const account = record.account(OWNER_NAME);
  if (account === null) throw new Fault({ code: 'not-found', message: 'No owner password is set.' });
  const passkeys = record.passkeysOf(account.id);
  for (const { id } of passkeys) record.removePasskey(id);
  record.removeSessionsOf(account.id, null);
  if (passkeys.length > 0) note({ record, nowMs }, 'passkeys-removed');
  return passkeys.length;
}

function note({ record, nowMs }: AtTheMachine, kind: 'owner-set' | 'owner-reset' | 'passkeys-removed'): void {
  const clock = { nowMs: () => nowMs };
  createEvents({ record, clock }).note({ kind, who: null, whom: OWNER_NAME, address: null });
}
