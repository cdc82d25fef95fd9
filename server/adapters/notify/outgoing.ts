import type { LookupAddress } from 'node:dns';
import { lookup as lookUp } from 'node:dns/promises';
import { type ClientRequest, request as requestHttp } from 'node:http';
import { request as requestHttps } from 'node:https';
import { isIP, type LookupFunction } from 'node:net';
import type { HttpAnswer, HttpRequest, SendHttp } from '../../ports.ts';

/** What is read of an answer at most: its head, and so many interim answers before it. Nothing of its body is. */
const MOST_HEAD_BYTES = 16 * 1024;
const MOST_INTERIM_ANSWERS = 8;

/**
 * Sends requests that outsiders' addresses are given for. Every address a name stands for is checked, and the connection
 * goes to one that was checked; redirects are not followed.
 * @param refuses whether an address may only be reached where `ownAddresses` allows it
 * @param lookUpAll finds all addresses of a name; the system's resolver unless another is given
 */
export function createOutgoing(
  refuses: (address: string) => boolean,
  lookUpAll: Resolver = (host) => lookUp(host, { all: true }),
): SendHttp {
  const addressesOf = createResolver(lookUpAll);
  return (asked) => {
    const { promise, resolve, reject } = Promise.withResolvers<HttpAnswer>();
    const url = new URL(asked.url);
    const checked = (address: string) => {
      if (!asked.ownAddresses && refuses(address)) throw new OwnAddress(url.hostname, address);
    };
    const lookup = checkedLookup(addressesOf, checked);
    try {
      const bare = url.hostname.replace(/^\[|\]$/g, '');
      if (isIP(bare) !== 0) checked(bare);
      const request = begin(asked, { url, lookup });
      request.on('error', reject);
      request.on('response', (response) => {
        resolve({ status: response.statusCode ?? 0, retryAfter: response.headers['retry-after'] ?? null });
        response.destroy();
      });
      request.end(asked.body);
    } catch (cause) {
      reject(cause);
    }
    return promise;
  };
}

/** An address of this computer, where it was not allowed. */
class OwnAddress extends Error {
  constructor(host: string, address: string) {
    const which = host.includes(address) ? host : `${host} (${address})`;
    super(
      `${which} is this computer itself, which is refused since an owner password is set; ` +
        'for a webhook the owner can allow it on the page People',
    );
  }
}

/** Why there was no answer, in words. */
export function reasonOf(cause: unknown): string {
  if (!(cause instanceof Error)) return String(cause);
  if (cause instanceof AggregateError) return cause.errors.map(reasonOf).join('; ');
  return cause.message;
}

type Prepared = { readonly url: URL; readonly lookup: LookupFunction };

function begin({ method, headers, signal }: HttpRequest, { url, lookup }: Prepared): ClientRequest {
  const send = url.protocol === 'https:' ? requestHttps : requestHttp;
  const request = send(url, {
    method,
    headers: { 'user-agent': 'strikewell', ...headers },
    signal,
    lookup,
    // a connection of its own, gone with the attempt
    agent: false,
    maxHeaderSize: MOST_HEAD_BYTES,
  });
  let interim = 0;
  request.on('information', () => {
    interim += 1;
    if (interim > MOST_INTERIM_ANSWERS) request.destroy(new Error('it gave interim answers without end'));
  });
  return request;
}

type Resolver = (host: string) => Promise<LookupAddress[]>;

/** One look-up of a name at a time: a name server that hangs must not hold the few threads there are for them. */
function createResolver(lookUpAll: Resolver): Resolver {
  const underWay = new Map<string, Promise<LookupAddress[]>>();
  return (host) => {
    const found = underWay.get(host) ?? lookUpAll(host);
    underWay.set(host, found);
    const forget = () => void underWay.delete(host);
    found.then(forget, forget);
    return found;
  };
}

function checkedLookup(addressesOf: Resolver, checked: (address: string) => void): LookupFunction {
  return (host, { all }, done) => {
    addressesOf(host)
      .then((addresses) => {
        for (const { address } of addresses) checked(address);
        return addresses;
      })
      .then(
        (addresses) => {
          const [first] = addresses;
          if (all) done(null, addresses);
          else done(null, first?.address ?? '', first?.family ?? 4);
        },
        (cause: NodeJS.ErrnoException) => done(cause, '', 4),
      );
  };
}
