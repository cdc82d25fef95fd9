import type { LiveMessage } from '../../shared/wire/live.ts';
import { LIVE_NO_LONGER, LIVE_VERSION } from '../../shared/wire/live-version.ts';
import { addressOf } from '../api.ts';
import { follows, SILENCE_LIMIT_MS, waitMs } from './resync.ts';

type LinkEvents = {
  readonly onMessage: (message: LiveMessage) => void;
  readonly onState: (state: 'connecting' | 'live' | 'offline') => void;
  /** called when the feed could not be opened, or was closed because its user may no longer listen */
  readonly onRefused: () => void;
  /** whether it is of any use to try: not while somebody has to sign in first */
  readonly mayTry: () => boolean;
};

type Link = { connect(): void };

const DOUBTFUL_AFTER_MS = 12_000;
const RELOADED_KEY = 'strikewell.reloaded-for';

function isLiveMessage(value: unknown): value is LiveMessage {
  return typeof value === 'object' && value !== null && 'type' in value && 'seq' in value && 'v' in value;
}

function feedUrl(): string {
  const scheme = location.protocol === 'https:' ? 'wss' : 'ws';
  return `${scheme}://${location.host}${addressOf('openLive', { query: { parts: '1' } })}`;
}

/** Until the last part of the state is there, what is shown may be what was known before. */
function isLastPart(message: LiveMessage): boolean {
  return (message.type === 'snapshot' || message.type === 'part') && !message.more;
}

function reloadOnceFor(version: unknown): void {
  if (sessionStorage.getItem(RELOADED_KEY) === String(version)) return;
  sessionStorage.setItem(RELOADED_KEY, String(version));
  location.reload();
}

/**
 * Keeps a connection to the live feed: after 25 s of silence, a hole in the numbers, or a close it connects again.
 * Coming back to the page or to the network tries at once.
 */
export function startLink(events: LinkEvents): Link {
  let socket: WebSocket | null = null;
  let lastSeq: number | null = null;
  let attempt = 0;
  let receivedMs = 0;
  let silence = 0;
  let retry = 0;

  const drop = () => {
    clearTimeout(silence);
    clearTimeout(retry);
    const old = socket;
    socket = null;
    old?.close();
  };
  const again = () => {
    drop();
    events.onState('offline');
    retry = window.setTimeout(connect, waitMs(attempt++, Math.random()));
  };
  const listen = () => {
    clearTimeout(silence);
    silence = window.setTimeout(again, SILENCE_LIMIT_MS);
  };
  const receive = (data: unknown) => {
    const message: unknown = typeof data === 'string' ? JSON.parse(data) : null;
    if (!isLiveMessage(message)) return again();
    if (message.v !== LIVE_VERSION) return reloadOnceFor(message.v);
    if (!follows(lastSeq, message.seq)) return again();
    lastSeq = message.seq;
    receivedMs = Date.now();
    listen();
    events.onMessage(message);
    if (!isLastPart(message)) return;
    attempt = 0;
    events.onState('live');
  };
  const connect = () => {
    drop();
    if (!events.mayTry()) return;
    lastSeq = null;
    const opened = new WebSocket(feedUrl());
    socket = opened;
    listen();
    opened.addEventListener('message', ({ data }) => {
      if (socket === opened) receive(data);
    });
    let wasOpen = false;
    opened.addEventListener('open', () => {
      wasOpen = true;
    });
    opened.addEventListener('close', ({ code }) => {
      if (socket !== opened) return;
      if (!wasOpen || code === LIVE_NO_LONGER) events.onRefused();
      again();
    });
  };
  const wake = () => {
    if (document.visibilityState === 'hidden') return;
    if (socket?.readyState === WebSocket.CONNECTING) return;
    if (socket?.readyState === WebSocket.OPEN && Date.now() - receivedMs < DOUBTFUL_AFTER_MS) return;
    connect();
  };
  document.addEventListener('visibilitychange', wake);
  window.addEventListener('online', wake);
  window.addEventListener('pageshow', wake);
  events.onState('connecting');
  connect();
  return { connect };
}
