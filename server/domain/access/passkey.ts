import { isLoopback } from './address.ts';

/** A step that was begun may be ended for so long, ms. */
export const STEP_LASTS_MS = 3 * 60_000;
/** Most steps begun at once; one more ends the oldest. */
export const MAX_STEPS = 64;

/** The page as WebAuthn names it. */
type PasskeySite = { readonly host: string; readonly origin: string };

/**
 * Where a passkey would be bound to, of a request. WebAuthn wants a host name, not an address, and https unless it is
 * this machine.
 * @param request its Host header, whether it came encrypted, and the address others reach the page by, if it is set
 * @returns null where no passkey can be used
 */
export function passkeySite({
  host,
  encrypted,
  publicUrl,
}: {
  readonly host: string | undefined;
  readonly encrypted: boolean;
  readonly publicUrl: string | null;
}): PasskeySite | null {
  const url = urlOf(host, encrypted);
  if (url === null || isAddress(url.hostname)) return null;
  const here = url.hostname === 'localhost';
  if (!here && (!encrypted || !isAllowed(url, publicUrl))) return null;
  return { host: url.hostname, origin: url.origin };
}

function urlOf(host: string | undefined, encrypted: boolean): URL | null {
  if (host === undefined || !/^[\w.-]+(:\d{1,5})?$/.test(host)) return null;
  const text = `${encrypted ? 'https' : 'http'}://${host}`;
  return URL.canParse(text) ? new URL(text) : null;
}

/** With a public address set, no other name of this machine is bound to. */
function isAllowed(url: URL, publicUrl: string | null): boolean {
  return publicUrl === null || new URL(publicUrl).host === url.host;
}

/** An IPv4 or IPv6 address in the place of a host name. */
function isAddress(hostname: string): boolean {
  return hostname.startsWith('[') || /^\d{1,3}(\.\d{1,3}){3}$/.test(hostname);
}

/**
 * Whether a browser is asked to come back encrypted only (RFC 6797): not on addresses, where it is ignored, nor on this
 * machine's own names, which other programs share.
 * @param request its Host header, and whether it came encrypted
 */
export function mayPinHttps({ host, encrypted }: { host: string | undefined; encrypted: boolean }): boolean {
  const url = encrypted ? urlOf(host, encrypted) : null;
  if (url === null) return false;
  const { hostname } = url;
  return !isAddress(hostname) && !isLoopback(hostname) && !hostname.endsWith('.localhost');
}
