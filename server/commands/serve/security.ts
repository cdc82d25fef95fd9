import { Fault } from '../../../shared/faults.ts';
import { createDoorkeeper, type Doorkeeper } from '../../adapters/http/auth-guard.ts';
import { commonPasswords as common } from '../../adapters/passwords/common.ts';
import { systemClock as clock, systemTimers as timers } from '../../adapters/system/clock.ts';
import { readNamedFile } from '../../adapters/system/files/files.ts';
import { systemSecrets as secrets } from '../../adapters/system/secrets.ts';
import { createPasskeyCheck } from '../../adapters/webauthn/webauthn.ts';
import type { Settings } from '../../config.ts';
import { createAccess } from '../../daemon/access/access.ts';
import { createBrokerDoor } from '../../daemon/access/broker-gateway.ts';
import { isLoopback } from '../../domain/access/address.ts';
import type { Access, AccessRecord, BrokerDoor, Log } from '../../ports.ts';

/** All that asks who is there, before anything is answered. */
export type Front = {
  readonly access: Access;
  readonly doorkeeper: Doorkeeper;
  readonly tls: { readonly cert: Buffer; readonly key: Buffer } | null;
  readonly door: BrokerDoor;
  /** where the embedded broker is reached encrypted, and with what; null without a certificate */
  readonly secure: { readonly port: number; readonly cert: Buffer; readonly key: Buffer } | null;
  /** how the daemon's own simulated devices reach the embedded broker */
  readonly ownDevice: {
    readonly url: string;
    readonly username: string;
    readonly password: string;
    /** the broker's own certificate, where it is reached encrypted only */
    readonly pinned?: Buffer;
  };
  /** Writes what was gathered of sign-ins and refusals, at the end of the daemon. */
  readonly settled: () => void;
};

/** How often sign-ins and refusals that were gathered are looked at, ms. */
const SETTLE_MS = 10_000;

type FrontDeps = {
  readonly record: AccessRecord;
  readonly log: Log;
  readonly onChange: () => void;
  /** whether sessions that have run out may be forgotten, as the clock is right */
  readonly mayForget: () => boolean;
};

/**
 * Opens the house to who may come in.
 * @throws Fault `bad-setting` for an address that others reach while nobody has to sign in, or an unreadable
 * certificate
 */
export function openFront(settings: Settings, { record, log, onChange, mayForget }: FrontDeps): Front {
  const { host, mqttPort, mqttsPort, trustedProxies, publicUrl } = settings;
  const passkeyCheck = createPasskeyCheck(log);
  const access = createAccess({ record, secrets, common, passkeyCheck, clock, log, onChange, mayForget });
  const tls = tlsFiles(settings);
  if (!isLoopback(host)) requireOwner(host, access);
  if (!isLoopback(host) && tls === null && trustedProxies.length === 0) {
    log.warn('passwords cross the network unencrypted: set STRIKEWELL_TLS_CERT and STRIKEWELL_TLS_KEY', {
      host,
    });
  }
  const { door, houseLogin } = createBrokerDoor({ record, secrets });
  const doorkeeper = createDoorkeeper({ access, tls: tls !== null, trustedProxies, publicUrl });
  const secure = tls === null || mqttsPort === null ? null : { port: mqttsPort, ...tls };
  const ownDevice = { ...houseLogin, ...ownWay({ host: urlHost(fromHere(host)), mqttPort, secure }) };
  const stopSettling = timers.every(SETTLE_MS, () => access.settle('due'));
  const settled = () => {
    stopSettling();
    access.settle('all');
  };
  return { access, doorkeeper, tls, door, secure, ownDevice, settled };
}

type OwnWay = { readonly host: string; readonly mqttPort: number | null; readonly secure: Front['secure'] };

/** How the daemon reaches its own broker: plainly, which never leaves the machine, unless that port is closed. */
function ownWay({ host, mqttPort, secure }: OwnWay): { url: string; pinned?: Buffer } {
  if (mqttPort !== null || secure === null) return { url: `mqtt://${host}:${mqttPort}` };
  return { url: `mqtts://${host}:${secure.port}`, pinned: secure.cert };
}

/** A host as it stands in a URL. */
export function urlHost(host: string): string {
  return host.includes(':') ? `[${host}]` : host;
}

function requireOwner(host: string, access: Access): void {
  if (access.closed()) return;
  const message =
    `STRIKEWELL_HOST is "${host}": expected a loopback address, as any other is refused until an owner password ` +
    'is set and devices must log in. Set one with "strikewell owner", or remove the key.';
  throw new Fault({ code: 'bad-setting', message, details: { key: 'STRIKEWELL_HOST' } });
}

function tlsFiles({ tls }: Settings): Front['tls'] {
  if (tls === null) return null;
  return {
    cert: readNamedFile({ key: 'STRIKEWELL_TLS_CERT', path: tls.certFile }),
    key: readNamedFile({ key: 'STRIKEWELL_TLS_KEY', path: tls.keyFile }),
  };
}

/** An address of this machine for one that stands for all of them. */
function fromHere(host: string): string {
  return { '0.0.0.0': '127.0.0.1', '::': '::1' }[host] ?? host;
}
