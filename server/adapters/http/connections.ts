import type { IncomingMessage, Server, ServerResponse } from 'node:http';
import type { Socket } from 'node:net';
import { Fault } from '../../../shared/faults.ts';
import { PROBLEM_MEDIA_TYPE } from '../../../shared/wire/problem.ts';
import { plainAddress } from '../../domain/access/address.ts';
import { peerOf } from '../../domain/limits/peer.ts';
import { createPlaces } from '../../domain/limits/places.ts';
import type { Limits } from '../../domain/limits/table.ts';
import type { Timers } from '../../ports.ts';
import { problemOf } from './problem.ts';

/** How often requests are sought that do not come in time, ms. */
const CHECK_EVERY_MS = 1_000;
/** Connections that are accepted beyond the limit, so that one of those before can make room. */
const IN_PASSING = 16;

type Why = 'page-connections' | 'page-request-late';

export type ConnectionDeps = {
  readonly limits: Limits;
  readonly every: Timers['every'];
  readonly nowMs: () => number;
  /** whether an address counts in all only: a trusted proxy carries many */
  readonly isExempt: (address: string) => boolean;
  readonly turnedAway: (why: Why, address: string) => void;
  readonly warn: (message: string, error: Error) => void;
};

type Connection = { readonly socket: Socket; busy: number };
type Coming = {
  readonly request: IncomingMessage;
  readonly response: ServerResponse;
  readonly endsAtMs: number;
};

/**
 * Bounds the connections to the page, in number and in the time that a request may take to come in. A connection that
 * waits for its request, or for the rest of it, makes room for a new one; one that is answered, an import or a
 * websocket does not.
 * @returns what keeps a long request open, and what ends the watching
 */
export function boundConnections(server: Server, deps: ConnectionDeps) {
  const { limits } = deps;
  server.headersTimeout = limits.httpHeadersWithinMs;
  server.requestTimeout = limits.httpImportWithinMs;
  server.keepAliveTimeout = limits.httpKeepAliveMs;
  server.timeout = limits.httpIdleMs;
  server.maxConnections = limits.httpConnectionsInAll + IN_PASSING;
  const open = watchConnections(server, deps);
  const coming = new Map<IncomingMessage, Coming>();
  server.prependListener('request', (request: IncomingMessage, response: ServerResponse) => {
    const done = () => void coming.delete(request);
    if (hasBody(request)) {
      coming.set(request, { request, response, endsAtMs: deps.nowMs() + limits.httpBodyWithinMs });
      request.once('end', () => {
        done();
        open.answering(request, response);
      });
      request.once('close', done);
    } else open.answering(request, response);
  });
  const stop = deps.every(CHECK_EVERY_MS, () => {
    const nowMs = deps.nowMs();
    for (const one of coming.values()) {
      if (nowMs < one.endsAtMs) continue;
      coming.delete(one.request);
      endLate(one, deps);
    }
  });
  return {
    /** A file that is imported may take its time. */
    keepOpen(request: IncomingMessage, response: ServerResponse) {
      coming.delete(request);
      open.answering(request, response);
    },
    stop,
  };
}

function watchConnections(server: Server, deps: ConnectionDeps) {
  const { limits, turnedAway } = deps;
  const byPeer = new Map<string, Connection>();
  const places = createPlaces<Connection>(
    {
      inAll: limits.httpConnectionsInAll,
      perAddress: limits.httpConnectionsPerAddress,
      isExempt: deps.isExempt,
    },
    ({ busy }) => busy === 0,
  );
  const end = ({ socket }: Connection) => {
    turnedAway('page-connections', addressOf(socket));
    socket.destroy();
  };
  server.prependListener('connection', (socket: Socket) => {
    const connection = { socket, busy: 0 };
    const peer = peerOf(socket);
    const place = places.take(connection, addressOf(socket));
    if (place === null) return end(connection);
    if (place.evicted !== null) end(place.evicted);
    byPeer.set(peer, connection);
    socket.once('close', () => {
      places.leave(connection);
      if (byPeer.get(peer) === connection) byPeer.delete(peer);
    });
  });
  const hold = (request: IncomingMessage, until: ServerResponse | Socket) => {
    const connection = byPeer.get(peerOf(request.socket));
    if (!connection) return;
    connection.busy += 1;
    until.once('close', () => {
      connection.busy -= 1;
    });
  };
  server.prependListener('upgrade', (request: IncomingMessage) => hold(request, request.socket));
  server.on('clientError', (error: NodeJS.ErrnoException, socket: Socket) => refuse(error, socket, deps));
  server.on('error', (error) => deps.warn('a connection to the page could not be taken', error));
  return { answering: (request: IncomingMessage, response: ServerResponse) => hold(request, response) };
}

/** What cannot be read as a request, or did not come in time, gets its status, as far as it can be sent. */
function refuse(error: NodeJS.ErrnoException, socket: Socket, { turnedAway }: ConnectionDeps): void {
  const isLate = error.code === 'ERR_HTTP_REQUEST_TIMEOUT';
  if (isLate) turnedAway('page-request-late', addressOf(socket));
  const status = isLate
    ? '408 Request Timeout'
    : error.code === 'HPE_HEADER_OVERFLOW'
      ? '431 Request Header Fields Too Large'
      : '400 Bad Request';
  if (socket.writable && error.code !== 'ECONNRESET')
    socket.write(`HTTP/1.1 ${status}\r\nConnection: close\r\n\r\n`);
  socket.destroy();
}

function endLate({ request, response }: Coming, { turnedAway }: ConnectionDeps): void {
  turnedAway('page-request-late', addressOf(request.socket));
  if (!response.headersSent) {
    const fault = new Fault({ code: 'bad-request', message: 'The request did not come in time.' });
    const [instance = ''] = (request.url ?? '').split('?');
    response.writeHead(408, { 'content-type': PROBLEM_MEDIA_TYPE, connection: 'close' });
    response.end(JSON.stringify(problemOf(fault, { instance, status: 408 })));
  }
  request.socket.destroySoon();
}

function hasBody({ headers }: IncomingMessage): boolean {
  return headers['transfer-encoding'] !== undefined || Number(headers['content-length'] ?? 0) > 0;
}

function addressOf({ remoteAddress }: Socket): string {
  return plainAddress(remoteAddress ?? '');
}
