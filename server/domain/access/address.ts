/**
 * The address a request came from. A forwarded address counts only when the connection comes from a proxy that is
 * trusted; of several, the last that is not itself such a proxy: what stands before it, anybody can write.
 * @param connection of the socket, its X-Forwarded-For header, and the addresses of trusted proxies
 */
export function clientAddress({
  remote,
  forwardedFor,
  trusted,
}: {
  remote: string;
  forwardedFor: string | undefined;
  trusted: readonly string[];
}): string {
  const hops = (forwardedFor ?? '')
    .split(',')
    .map((hop) => plainAddress(hop.trim()))
    .filter((hop) => hop !== '');
  let address = plainAddress(remote);
  while (trusted.includes(address)) {
    const before = hops.pop();
    if (before === undefined) break;
    address = before;
  }
  return address;
}

/** An address as it is compared: an IPv4 one that comes over IPv6 is the IPv4 one. */
export function plainAddress(address: string): string {
  return address.toLowerCase().replace(/^::ffff:(?=\d+\.\d+\.\d+\.\d+$)/, '');
}

/**
 * Which addresses wait together: an IPv6 network hands out 2^64 addresses to one household, so they count as one.
 * @param address IPv4 or IPv6
 */
export function addressGroup(address: string): string {
  const plain = plainAddress(address);
  if (!plain.includes(':')) return plain;
  const [head = ''] = plain.split('%');
  const [before = '', after] = head.split('::');
  const first = before === '' ? [] : before.split(':');
  const last = after === undefined || after === '' ? [] : after.split(':');
  const zeros = after === undefined ? 0 : Math.max(0, 8 - first.length - last.length);
  const all = [...first, ...Array.from({ length: zeros }, () => '0'), ...last];
  return `${all
    .slice(0, 4)
    .map((part) => part.replace(/^0+(?=.)/, ''))
    .join(':')}::/64`;
}

/** True for an address of this machine itself, which no other machine can reach. */
export function isLoopback(host: string): boolean {
  return /^(localhost|127(\.\d{1,3}){3}|::1)$/i.test(plainAddress(host));
}
