import type { IncomingMessage } from 'node:http';
import type { Server } from 'node:net';
import type { Duplex } from 'node:stream';
import { WebSocket, WebSocketServer } from 'ws';
import type { LiveMessage } from '../../../shared/wire/live.ts';
import { LIVE_NO_LONGER, LIVE_VERSION } from '../../../shared/wire/live-version.ts';
import { mayOpenPage, type Viewer } from '../../domain/limits/pages.ts';
import { LIMITS, type Limits } from '../../domain/limits/table.ts';
import type { Clock, LiveFeed, Log, Queries, Timers } from '../../ports.ts';

/** While so much waits for a page, the next part of the state is not made yet; it is checked again after so long, ms. */
const PART_WAITS_ABOVE_BYTES = 256 * 1024;
const PART_AGAIN_MS = 20;
/**
 * Larger messages, as the parts of the state are, go out compressed: about a tenth. What changes is small and goes as it is.
 * With this window a page that is open holds some 50 kB for it.
 */
const DEFLATE = {
  threshold: 4_096,
  serverNoContextTakeover: true,
  clientNoContextTakeover: true,
  serverMaxWindowBits: 13,
  zlibDeflateOptions: { memLevel: 5 },
  concurrencyLimit: 2,
};
/** Pages send nothing we read. */
const MAX_PAYLOAD_BYTES = 1024;

type Outgoing = LiveMessage extends infer M ? (M extends LiveMessage ? Omit<M, 'v' | 'seq'> : never) : never;
type Page = {
  readonly socket: WebSocket;
  readonly viewer: Viewer;
  readonly stillHolds: () => boolean;
  seq: number;
  answered: boolean;
};

type FeedDeps = {
  readonly clock: Clock;
  readonly timers: Timers;
  readonly log: Log;
  /** whether a page may listen, and then whether it still may; null when it may not */
  readonly admits: (request: IncomingMessage) => PageAdmission | null;
  readonly turnedAway: (why: 'page-websockets' | 'page-reads-too-slowly', address: string) => void;
  readonly limits?: Limits;
};

/** Who may listen, and whether it still may. */
type PageAdmission = { readonly viewer: Viewer; readonly stillHolds: () => boolean };

/** The pages that are open, each with a numbering of its own. */
function openPages({ log, turnedAway, limits = LIMITS }: FeedDeps) {
  const pages = new Set<Page>();
  const cutOff = ({ socket, viewer }: Page) => {
    log.warn('a page read too slowly and was cut off', { address: viewer.address });
    turnedAway('page-reads-too-slowly', viewer.address);
    socket.terminate();
  };
  const send = (page: Page, message: Outgoing) => {
    if (page.socket.readyState !== WebSocket.OPEN) return;
    if (page.socket.bufferedAmount > limits.pageUnsentBytes) return cutOff(page);
    page.seq++;
    page.socket.send(JSON.stringify({ v: LIVE_VERSION, seq: page.seq, ...message }));
  };
  const cutOffSlowest = () => {
    const waiting = [...pages].filter(({ socket }) => socket.bufferedAmount > 0);
    const slowest = waiting.toSorted((a, b) => b.socket.bufferedAmount - a.socket.bufferedAmount);
    let unsent = slowest.reduce((sum, { socket }) => sum + socket.bufferedAmount, 0);
    for (const page of slowest) {
      if (unsent <= limits.pagesUnsentInAllBytes) return;
      unsent -= page.socket.bufferedAmount;
      cutOff(page);
    }
  };
  return {
    hasRoomFor: (viewer: Viewer) =>
      mayOpenPage(
        viewer,
        [...pages].map((page) => page.viewer),
        limits,
      ),
    welcome(socket: WebSocket, { viewer, stillHolds }: PageAdmission, first: Outgoing) {
      const page: Page = { socket, viewer, stillHolds, seq: 0, answered: true };
      pages.add(page);
      socket.on('pong', () => {
        page.answered = true;
      });
      socket.on('close', () => pages.delete(page));
      socket.on('error', (error) => log.warn('a page broke off', { error: error.message }));
      send(page, first);
      return page;
    },
    send,
    sendAll(message: Outgoing) {
      for (const page of pages) send(page, message);
      cutOffSlowest();
    },
    /** Closes the pages that may no longer listen. */
    recheck() {
      for (const page of pages) if (!page.stillHolds()) page.socket.close(LIVE_NO_LONGER, 'sign in');
    },
    /** Asks each page whether it is there; one that did not answer the last time is cut off. */
    probe() {
      for (const page of pages) {
        if (!page.answered) page.socket.terminate();
        page.answered = false;
        if (page.socket.readyState === WebSocket.OPEN) page.socket.ping();
      }
    },
    close() {
      for (const page of pages) page.socket.close(1001, 'the daemon stops');
    },
  };
}

/**
 * Sends every open page what changed, over websockets at /live: a snapshot first, then changes,
 * numbered. A page that cannot keep up is cut off and starts again with a snapshot.
 */
export function createFeed(deps: FeedDeps): LiveFeed & {
  attach(server: Server, queries: Queries): void;
  /** Checks again who listens: at once, besides every beat. */
  recheck(): void;
  close(): void;
} {
  const { clock, timers, turnedAway, limits = LIMITS } = deps;
  const pages = openPages(deps);
  const sockets = new WebSocketServer({
    noServer: true,
    maxPayload: MAX_PAYLOAD_BYTES,
    perMessageDeflate: DEFLATE,
  });
  const stopBeat = timers.every(limits.pageBeatMs, () => {
    pages.recheck();
    pages.probe();
    pages.sendAll({ type: 'beat', atMs: clock.nowMs() });
  });

  return {
    attach(server, queries) {
      server.on('upgrade', (request: IncomingMessage, stream: Duplex, head: Buffer) => {
        // from here on nobody else listens for it, and a connection that breaks off must not end the daemon
        stream.on('error', () => stream.destroy());
        const [path, query = ''] = (request.url ?? '/').split('?');
        const admission = path === '/live' ? deps.admits(request) : null;
        if (admission === null) return refuse(stream, '403 Forbidden');
        if (!pages.hasRoomFor(admission.viewer)) {
          turnedAway('page-websockets', admission.viewer.address);
          return refuse(stream, '503 Service Unavailable');
        }
        const inParts = new URLSearchParams(query).get('parts') === '1';
        sockets.handleUpgrade(request, stream, head, (socket) => {
          if (inParts) sendParts({ socket, admission, pages, queries }, deps);
          else pages.welcome(socket, admission, snapshot(queries, clock.nowMs()));
        });
      });
    },
    recheck: () => pages.recheck(),
    now: (now) => pages.sendAll({ type: 'now', atMs: clock.nowMs(), now }),
    place: (place) => pages.sendAll({ type: 'place', place }),
    placeGone: (placeId) => pages.sendAll({ type: 'place-gone', placeId }),
    alarm: (alarm) => pages.sendAll({ type: 'alarm', alarm }),
    house: (house) => pages.sendAll({ type: 'house', house }),
    foreignCounts: (newest) => pages.sendAll({ type: 'heard', ...newest }),
    close() {
      stopBeat();
      pages.close();
      sockets.close();
    },
  };
}

function refuse(stream: Duplex, status: string): void {
  stream.end(`HTTP/1.1 ${status}\r\nConnection: close\r\n\r\n`, () => stream.destroy());
}

type SendingParts = {
  readonly socket: WebSocket;
  readonly admission: PageAdmission;
  readonly pages: ReturnType<typeof openPages>;
  readonly queries: Queries;
};

/** The state a part at a time, at the pace of the page: what changes meanwhile goes out between. */
function sendParts(sending: SendingParts, { clock, timers }: Pick<FeedDeps, 'clock' | 'timers'>): void {
  const { socket, admission, pages, queries } = sending;
  const parts = queries.inParts();
  const first = parts.next().value ?? { places: [], alarms: [], more: false };
  const house = queries.house();
  const page = pages.welcome(socket, admission, {
    type: 'snapshot',
    atMs: clock.nowMs(),
    ...first,
    house,
  });
  const next = () => {
    if (socket.readyState !== WebSocket.OPEN) return;
    if (socket.bufferedAmount > PART_WAITS_ABOVE_BYTES) {
      timers.after(PART_AGAIN_MS, next);
      return;
    }
    const part = parts.next().value;
    if (!part) return;
    pages.send(page, { type: 'part', atMs: clock.nowMs(), ...part });
    if (part.more) timers.soon(next);
  };
  if (first.more) timers.soon(next);
}

function snapshot(queries: Queries, atMs: number): Outgoing {
  return {
    type: 'snapshot',
    atMs,
    places: queries.places(),
    alarms: queries.alarms(),
    house: queries.house(),
  };
}
