import type { UnreadTopic } from '../../../shared/wire/probes/foreign-messages.ts';
import { payloadStart } from '../ingest/payload-start.ts';
import { nearestTopic } from './nearest.ts';

/** Most characters kept of a topic, of a name, and of a payload. */
const MAX_TOPIC = 200;
const MAX_NAME = 64;
const MAX_START = 80;

/** One message on a topic that nothing reads. */
type Unread = {
  readonly topic: string;
  readonly payload: Uint8Array;
  readonly atMs: number;
  readonly clientId: string | null;
  readonly device: string | null;
  readonly address: string | null;
};

/** The topics that nothing reads, in the order of their last message. */
export type UnreadBook = ReadonlyMap<string, UnreadTopic>;

/**
 * Notes a message on a topic that nothing reads.
 * @param most how many topics are listed; those that resemble none of the contract make room first, then the oldest
 * @returns the book with it, and whether another topic had to make room
 */
export function noteUnread(
  book: UnreadBook,
  unread: Unread,
  most: number,
): { readonly book: UnreadBook; readonly leftOut: number } {
  const topic = unread.topic.slice(0, MAX_TOPIC).replace(/[\p{C}\p{Zl}\p{Zp}]/gu, '?');
  const before = book.get(topic) ?? null;
  const next = new Map(book);
  next.delete(topic);
  next.set(topic, entryOf(topic, unread, before));
  if (next.size <= most) return { book: next, leftOut: 0 };
  next.delete(firstToGo(next));
  return { book: next, leftOut: 1 };
}

function firstToGo(book: UnreadBook): string {
  for (const [topic, { suggestion }] of book) if (suggestion === null) return topic;
  return [...book.keys()][0] ?? '';
}

function entryOf(topic: string, unread: Unread, before: UnreadTopic | null): UnreadTopic {
  const { payload, atMs, clientId, device, address } = unread;
  const at = new Date(atMs).toISOString();
  const nearest = before ?? nearestTopic(unread.topic);
  return {
    topic,
    suggestion: nearest?.suggestion ?? null,
    fault: nearest?.fault ?? null,
    count: (before?.count ?? 0) + 1,
    firstAt: before?.firstAt ?? at,
    lastAt: at,
    clientId: clientId?.slice(0, MAX_NAME) ?? null,
    device: device?.slice(0, MAX_NAME) ?? null,
    address,
    bytes: payload.byteLength,
    start: payloadStart(payload).start.slice(0, MAX_START),
  };
}

/** Misspelt ones first, the newest first among equals. */
export function unreadInOrder(book: UnreadBook): UnreadTopic[] {
  const newestFirst = [...book.values()].toReversed();
  return newestFirst.toSorted((a, b) => Number(a.suggestion === null) - Number(b.suggestion === null));
}
