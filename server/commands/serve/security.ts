import { Fault } from '../../../shared/faults.ts';
import { type AuthGuard, createAuthGuard } from '../../adapters/http/auth-guard.ts';
import { commonPasswords as common } from '../../adapters/passwords/common.ts';
import { systemClock as clock, systemTimers as timers } from '../../adapters/system/clock.ts';
import { readNamedFile } from '../../adapters/system/files/files.ts';
import { systemSecrets as secrets } from '../../adapters/system/secrets.ts';
import { createPasskeyCheck } from '../../adapters/webauthn/webauthn.ts';
import type { Settings } from '../../config.ts';
import { createAccess } from '../../daemon/access/access.ts';
import { createBrokerGateway } from '../../daemon/access/broker-gateway.ts';
import { isLoopback } from '../../domain/access/address.ts';
import type { Access, AccessRecord, BrokerGateway, Log } from '../../ports.ts';

/** All that asks who is there, before anything is answered. */
export type Security = {
  readonly access: Access;
  readonly authGuard: AuthGuard;
  readonly tls: { readonly cert: Buffer; readonly key: Buffer } | null;
  readonly gateway: BrokerGateway;
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

/** How often sign-ins and refusals that were gathered are checked, ms. */
const SETTLE_MS = 10_000;

type SecurityDeps = {
  readonly record: AccessRecord;
  readonly log: Log;
  readonly onChange: () => void;
  /** whether sessions that have run out may be forgotten, as the clock is right */
  readonly mayForget: () => boolean;
};

/**
 * Opens page and broker to those who may sign in.
 * @throws Fault `bad-setting` for an address that others reach while nobody has to sign in, or an unreadable
 * certificate
 */
export function openSecurity(
  settings: Settings,
  { record, log, onChange, mayForget }: SecurityDeps,
): Security {
  const { host, mqttPort, mqttsPort, trustedProxies, publicUrl, readingOrigins } = settings;
  const passkeyCheck = createPasskeyCheck(log);
  const access = createAccess({ record, secrets, common, passkeyCheck, clock, log, onChange, mayForget });
  const tls = tlsFiles(settings);
  if (!isLoopback(host)) requireOwner(host, access);
  if (!isLoopback(host) && tls === null && trustedProxies.length === 0) {
    log.warn('passwords cross the network unencrypted: set STRIKEWELL_TLS_CERT and STRIKEWELL_TLS_KEY', {
      host,
    });
  }
  const { gateway, houseLogin } = createBrokerGateway({ record, secrets });
  const authGuard = createAuthGuard({
    access,
    tls: tls !== null,
    trustedProxies,
    publicUrl,
    readingOrigins,
  });
  const secure = tls === null || mqttsPort === null ? null : { port: mqttsPort, ...tls };
  const ownDevice = { ...houseLogin, ...ownBroker({ host: urlHost(fromHere(host)), mqttPort, secure }) };
  const stopSettling = timers.every(SETTLE_MS, () => access.settle('due'));
  const settled = () => {
    stopSettling();
    access.settle('all');
  };
  return { access, authGuard, tls, gateway, secure, ownDevice, settled };
}

type OwnBroker = {
  readonly host: string;
  readonly mqttPort: number | null;
  readonly secure: Security['secure'];
};

/** How the daemon reaches its own broker: plainly, which never leaves the machine, unless that port is closed. */
function ownBroker({ host, mqttPort, secure }: OwnBroker): { url: string; pinned?: Buffer } {
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

function tlsFiles({ tls }: Settings): Security['tls'] {
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
