import { plainAddress } from './address.ts';

/** An IPv6 address that carries an IPv4 one in its last 32 bits. @source [RFC4291] 2.5.5; [RFC6052] 2.1 */
const CARRIERS = ['0:0:0:0:0:ffff', '0:0:0:0:0:0', '64:ff9b:0:0:0:0'];

/**
 * Whether an address is this machine itself, or one that only has a meaning on its link: loopback, unspecified,
 * link-local, or an address of one of its interfaces; in whatever form it is written. Addresses of a private network
 * are not: there a grower's own server may be.
 * @param address IPv4 or IPv6, without brackets
 * @param interfaces addresses of this machine's interfaces
 * @source [RFC6890] special-purpose addresses; [RFC3927] and [RFC4291] 2.5.6 link-local
 */
export function isOwnAddress(address: string, interfaces: readonly string[]): boolean {
  const plain = canonical(address);
  return isLocal(plain) || interfaces.some((own) => canonical(own) === plain);
}

function isLocal(plain: string): boolean {
  if (!plain.includes(':')) return /^(0|127)\./.test(plain) || plain.startsWith('169.254.');
  return plain === '0:0:0:0:0:0:0:1' || plain === '0:0:0:0:0:0:0:0' || /^fe[89ab]/.test(plain);
}

/** One form for each address: dotted IPv4 where it is, or carries, one; else eight groups. */
function canonical(address: string): string {
  const [bare = ''] = plainAddress(address).split('%');
  if (!bare.includes(':')) return bare;
  const groups = groupsOf(bare);
  const [high, low] = groups.slice(6).map((group) => Number.parseInt(group, 16));
  const carries = CARRIERS.includes(groups.slice(0, 6).join(':'));
  if (!carries || high === undefined || low === undefined || (high === 0 && low <= 1))
    return groups.join(':');
  return [high >> 8, high & 255, low >> 8, low & 255].join('.');
}

function groupsOf(address: string): string[] {
  const [head = '', tail] = address.split('::');
  const first = parts(head);
  const last = parts(tail ?? '');
  const zeros = tail === undefined ? 0 : Math.max(0, 8 - first.length - last.length);
  return [...first, ...Array.from({ length: zeros }, () => '0'), ...last].map((group) =>
    Number.parseInt(group, 16).toString(16),
  );
}

/** Groups of hexadecimal digits; the last 32 bits may be written as an IPv4 address. */
function parts(text: string): string[] {
  if (text === '') return [];
  return text.split(':').flatMap((part) => {
    if (!part.includes('.')) return [part];
    const [a = 0, b = 0, c = 0, d = 0] = part.split('.').map(Number);
    return [(a * 256 + b).toString(16), (c * 256 + d).toString(16)];
  });
}
