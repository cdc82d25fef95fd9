import type { IncomingMessage, ServerResponse } from 'node:http';
import type { TokenScope } from '../../../shared/model/people/access.ts';
import type { Access } from '../../ports.ts';

/** What the token that a program shows may read; null where it shows none that is known. */
export function scopeShown(request: IncomingMessage, access: Pick<Access, 'tokenOf'>): TokenScope | null {
  const shown = bearerIn(request);
  return shown === null ? null : (access.tokenOf(shown)?.scope ?? null);
}

/**
 * Lets the script of a page elsewhere read whose origin is in the list, without the cookie of who is signed in here.
 *
 * @returns `answered` where it only asked whether it may, `reads` where its request goes on, null for anybody else
 */
export function readFromElsewhere(
  request: IncomingMessage,
  response: ServerResponse,
  origins: readonly string[],
): 'answered' | 'reads' | null {
  if (!isReadFromElsewhere(request, origins)) return null;
  letRead(request, response);
  if (request.method !== 'OPTIONS') return 'reads';
  response.writeHead(204).end();
  return 'answered';
}

/** What a page elsewhere may do that stands in the list: read, without the cookie of who is signed in here. */
function isReadFromElsewhere({ method, headers }: IncomingMessage, origins: readonly string[]): boolean {
  const reads = ['GET', 'HEAD', 'OPTIONS'].includes(method ?? '');
  return reads && headers.origin !== undefined && origins.includes(headers.origin);
}

/** @source Fetch Standard, section 3.3 (CORS protocol) */
function letRead({ headers, method }: IncomingMessage, response: ServerResponse): void {
  response.setHeader('access-control-allow-origin', headers.origin ?? '');
  response.setHeader('vary', 'Origin');
  if (method !== 'OPTIONS') return;
  response.setHeader('access-control-allow-methods', 'GET, HEAD');
  response.setHeader('access-control-allow-headers', 'authorization');
  response.setHeader('access-control-max-age', '600');
}

/** @source [RFC6750] section 2.1 */
function bearerIn({ headers }: IncomingMessage): string | null {
  const [, shown] = /^Bearer +([A-Za-z0-9._~+/=-]{1,200})$/i.exec(headers.authorization ?? '') ?? [];
  return shown ?? null;
}
