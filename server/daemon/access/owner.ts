import { OWNER_NAME } from '../../../shared/model/roles.ts';
import type { AccessRecord, Secrets } from '../../ports.ts';

/**
 * Gives the account "owner" a password, making the account where it is missing; whoever was signed in with it is
 * signed out, and it owns the house again.
 * @returns whether there was such an account before
 */
export async function setOwnerPassword(
  { record, secrets, nowMs }: { record: AccessRecord; secrets: Secrets; nowMs: number },
  password: string,
): Promise<{ readonly reset: boolean }> {
  const kept = await secrets.keep(password);
  const account = record.account(OWNER_NAME);
  if (account === null) {
    record.addAccount({ name: OWNER_NAME, role: 'own', password: kept, createdMs: nowMs });
    return { reset: false };
  }
  record.setPassword(account.id, kept);
  record.setRole(account.id, 'own');
  record.removeSessionsOf(account.id, null);
  return { reset: true };
}
