import type { AccessEventKind } from '../../shared/model/people/access-event.ts';
import type { AccessEvent } from '../../shared/wire/access.ts';

type Named = {
  readonly who: string | null;
  readonly by: string;
  readonly whom: string;
  readonly note: string;
};

const WORDS: Readonly<Record<AccessEventKind, (event: Named) => string>> = {
  'signed-in': ({ by }) => `${by} signed in`,
  'passkey-asked': ({ by }) => `${by} gave the right password; a passkey was asked for`,
  'sign-in-refused': ({ who }) =>
    who === null ? 'sign-in refused: no such account' : `sign-in refused: wrong password for ${who}`,
  'passkey-refused': ({ who }) => `sign-in refused: no valid passkey${who === null ? '' : ` for ${who}`}`,
  'confirm-refused': ({ by }) => `${by} gave a wrong password when asked to confirm it`,
  'too-many-attempts': ({ who }) => `too many attempts${who === null ? '' : ` for ${who}`}: made to wait`,
  'owner-set': () => 'owner password set for the first time',
  'owner-reset': () => 'owner password reset at the command line',
  'account-added': ({ by, whom, note }) => `${by} added the account ${whom} (${note})`,
  'account-removed': ({ by, whom }) => `${by} removed the account ${whom}`,
  'role-changed': ({ by, whom, note }) => `${by} changed the role of ${whom}: ${note}`,
  'password-changed': ({ by }) => `${by} changed the password`,
  'password-reset': ({ by, whom }) => `${by} reset the password of ${whom}`,
  'session-ended': ({ by, whom, note }) => `${by} ended a session of ${whom} from ${note}`,
  'passkey-added': ({ by, note }) => `${by} added the passkey "${note}"`,
  'passkey-removed': ({ by, whom, note }) => `${by} removed the passkey "${note}" of ${whom}`,
  'passkeys-removed': ({ whom }) => `all passkeys of ${whom} removed at the command line`,
  'token-added': ({ by, whom, note }) => `${by} made the token "${whom}" (${note})`,
  'token-removed': ({ by, whom }) => `${by} removed the token "${whom}"`,
  'device-added': ({ by, whom }) => `${by} added the device ${whom}`,
  'device-secret': ({ by, whom }) => `${by} made a new secret for the device ${whom}`,
  'device-state': ({ by, whom, note }) => `${by} set the device ${whom} to ${note}`,
  'device-login': ({ by, whom }) => `${by} made a new shared login for sensors, ${whom}`,
  'device-accepted': ({ by, whom }) => `${by} accepted the device ${whom}`,
  'device-ignored': ({ by, whom }) => `${by} ignored the device ${whom}`,
  'device-unignored': ({ by, whom }) => `${by} put the ignored device ${whom} back on the list`,
  'device-archived': ({ by, whom }) => `${by} archived the device ${whom}`,
  'device-deleted': ({ by, whom }) => `${by} deleted the device ${whom}`,
  'device-restored': ({ by, whom }) => `${by} restored the device ${whom} from the archive`,
};

const SEVERAL = 'several';

/** What happened, as one line without its time. */
export function eventWords({ kind, who, whom, note, address, count }: AccessEvent): string {
  const by = who ?? 'somebody not signed in';
  const what = WORDS[kind]({ who, by, whom: whom ?? '', note: note ?? '' });
  const from = address === SEVERAL ? 'several addresses' : address;
  const where = from === null ? '' : `, from ${from}`;
  return `${what}${where}${count > 1 ? `, ${count} times` : ''}`;
}
