import { type Finding, line } from './line.ts';

/** The state of access: settings, and counts of the record. */
export type AccessState = {
  readonly host: string;
  readonly loopback: boolean;
  /** whether the page has a certificate, or stands behind a proxy that may have one */
  readonly tls: boolean;
  readonly proxied: boolean;
  /** the embedded broker on its plain port alone, encrypted too or encrypted only, or an outside one */
  readonly broker: 'plain' | 'both' | 'encrypted' | 'outside';
  readonly owned: boolean;
  readonly accounts: number;
  /** sessions that have not run out */
  readonly sessions: number;
  readonly sharedLogin: boolean;
  /** accounts with passkeys, and the host names at which each account's work */
  readonly passkeys: readonly { readonly account: string; readonly hosts: readonly string[] }[];
  /** host name at which others reach the page; null where it is not set */
  readonly pageHost: string | null;
  /** refused passwords and passkeys of the last 24 h */
  readonly refused: number;
  /** devices with a secret of their own, by what became of it */
  readonly devices: { readonly enabled: number; readonly disabled: number; readonly retired: number };
  /** devices that have probes and no secret of their own */
  readonly withoutSecret: number;
};

/** What there is to say of who may come in. */
export function accessLines(state: AccessState): Finding[] {
  const signIns = state.owned ? [signInsLine(state)] : [];
  return [accessLine(state), ...signIns, encryptionLine(state), devicesLine(state)];
}

function accessLine({ owned, loopback, host, accounts, sessions }: AccessState): Finding {
  const reach = loopback ? 'only this computer can reach it' : `other computers can reach it at ${host}`;
  if (owned) {
    const found = `an owner password is set; ${count(accounts, 'account')}, ${sessions} signed in; ${reach}`;
    return line('access', found);
  }
  const remedy =
    'Strikewell does not start like this. Set an owner password: strikewell owner. Or remove STRIKEWELL_HOST.';
  return line('access', `no sign-in; ${reach}`, loopback ? null : remedy);
}

function signInsLine({ accounts, passkeys, pageHost, refused }: AccessState): Finding {
  const found = `${refused} refused in 24 h; passkeys: ${passkeys.length} of ${count(accounts, 'account')}`;
  const elsewhere = passkeys.filter(({ hosts }) => pageHost !== null && !hosts.includes(pageHost));
  const [first] = elsewhere;
  if (first === undefined) return line('sign-ins', found);
  const names = elsewhere.map(({ account }) => account).join(', ');
  const remedy =
    `The passkeys of ${names} do not work at ${pageHost} (the first: ${first.hosts.join(', ')} only). An owner ` +
    'removes them on the System page; of the account owner: strikewell owner --remove-passkeys.';
  return line('sign-ins', found, remedy);
}

function encryptionLine({ tls, proxied, loopback }: AccessState): Finding {
  if (tls) return line('encryption', 'the page is served with a certificate');
  if (proxied) return line('encryption', 'none here; a proxy stands before the page');
  const remedy =
    'Passwords cross the network unencrypted: set STRIKEWELL_TLS_CERT and STRIKEWELL_TLS_KEY, or put a proxy before it.';
  return line('encryption', 'none', loopback ? null : remedy);
}

function devicesLine(state: AccessState): Finding {
  const { devices, withoutSecret, broker, owned } = state;
  const { enabled, disabled, retired } = devices;
  const ended = [disabled > 0 ? `${disabled} disabled` : '', retired > 0 ? `${retired} retired` : ''];
  const how = owned ? 'by the shared login' : 'without a login';
  const found = [`${enabled} with a secret of their own`, `${withoutSecret} ${how}`, ...ended]
    .filter((words) => words !== '')
    .join(', ');
  const at = {
    outside: 'your broker decides who may publish',
    both: 'the broker accepts encrypted connections too',
    encrypted: 'the broker accepts encrypted connections only',
    plain: 'the broker is not encrypted',
  }[broker];
  return line('devices', `${found}; ${at}`, devicesRemedy(state));
}

function devicesRemedy({ owned, sharedLogin, withoutSecret, broker, loopback }: AccessState): string | null {
  if (broker === 'outside') return null;
  if (owned && !sharedLogin && withoutSecret > 0)
    return 'Devices without a secret cannot publish: give each its own on the Devices page.';
  if (!loopback && broker === 'plain')
    return 'Device secrets cross the network unencrypted: set STRIKEWELL_TLS_CERT and STRIKEWELL_TLS_KEY, and let them use mqtts.';
  return null;
}

function count(n: number, noun: string): string {
  return `${n} ${noun}${n === 1 ? '' : 's'}`;
}
