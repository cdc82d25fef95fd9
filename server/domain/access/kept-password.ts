/**
 * A password as it is kept: scrypt with its cost, salt and key in base64url. A higher cost than any version ever used
 * would stop the program for as long as whoever wrote it pleases.
 */
const KEPT = /^scrypt\$(?<n>\d{1,6})\$(?<r>\d{1,2})\$(?<p>\d{1,2})\$[A-Za-z0-9_-]{8,86}\$[A-Za-z0-9_-]{43}$/;
const MOST = { n: 65_536, r: 8, p: 8 };

/**
 * Whether a text is a password as it is kept, at a cost that can be paid.
 * @example isKeptPassword('secret') // false
 */
export function isKeptPassword(text: string): boolean {
  const cost = KEPT.exec(text)?.groups;
  if (!cost) return false;
  const [n, r, p] = [cost['n'], cost['r'], cost['p']].map(Number) as [number, number, number];
  const isPowerOfTwo = n > 1 && (n & (n - 1)) === 0;
  return isPowerOfTwo && n <= MOST.n && r >= 1 && r <= MOST.r && p >= 1 && p <= MOST.p;
}
