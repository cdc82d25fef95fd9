import { isContractTopic } from '../../../../shared/topic-filter.ts';
import type { UnreadAnswer, UnreadTopic } from '../../../../shared/wire/probes/foreign-messages.ts';
import { LIMITS } from '../../../domain/limits/table.ts';
import { KEPT_AS, keptText } from '../../../domain/topics/kept.ts';
import { nearestTopic } from '../../../domain/topics/nearest.ts';
import { noteUnread, type UnreadBook, unreadInOrder } from '../../../domain/topics/unread.ts';
import type { Clock, Keep, Log, UnreadMessage } from '../../../ports.ts';

/** A new misspelt topic is kept for `strikewell doctor` after so long at most, and its count after so long, ms. */
const KEEP_WITHIN_MS = 60_000;
const COUNTS_EVERY_MS = 3_600_000;

type UnreadDeps = {
  readonly clock: Clock;
  readonly log: Log;
  readonly keep: Keep;
  /** whether a mapping reads the topic */
  readonly isMapped: (topic: string) => boolean;
  /** whether the broker shows such topics */
  readonly source: () => UnreadAnswer['source'];
};

/** The topics that nothing reads, since the start; the misspelt ones are kept in a note beside the record as well. */
export function createUnread(deps: UnreadDeps) {
  const { clock, isMapped, source } = deps;
  let book: UnreadBook = new Map();
  let [leftOut, version] = [0, 0];
  const keeper = createKeeper(deps);
  return {
    note({ message, isSubscribed, ...sender }: UnreadMessage) {
      const { topic, payload, arrivedAtMs } = message;
      if (topic.startsWith('$') || isMapped(topic)) return;
      if (!book.has(topic) && nearestTopic(topic) === null && (isSubscribed || isContractTopic(topic)))
        return;
      const noted = noteUnread(book, { ...sender, topic, payload, atMs: arrivedAtMs }, LIMITS.unreadTopics);
      book = noted.book;
      leftOut += noted.leftOut;
      version += 1;
    },
    answer: (): UnreadAnswer => ({
      topics: unreadInOrder(book).filter(({ topic }) => !isMapped(topic)),
      leftOut,
      source: source(),
    }),
    /** Grows with each message that is noted. */
    last: () => version,
    turn: () => keeper.turn(misspelt(book), clock.nowMs()),
    close: () => keeper.close(misspelt(book)),
  };
}

function misspelt(book: UnreadBook): UnreadTopic[] {
  return unreadInOrder(book)
    .filter(({ suggestion }) => suggestion !== null)
    .slice(0, LIMITS.unreadTopicsKept);
}

/** Writes the note seldom: a message of anybody on the network is behind it. */
function createKeeper({ keep, log, clock }: UnreadDeps) {
  let [keptTopics, keptMs, triedMs] = ['', 0, clock.nowMs() - KEEP_WITHIN_MS];
  const write = (topics: readonly UnreadTopic[]) => {
    try {
      keep.write(KEPT_AS, keptText(topics));
      keptTopics = namesOf(topics);
      keptMs = clock.nowMs();
    } catch (cause) {
      log.warn('misspelt topics could not be kept for the doctor', { error: String(cause) });
    }
  };
  return {
    turn(topics: readonly UnreadTopic[], nowMs: number) {
      if (topics.length === 0 || nowMs - triedMs < KEEP_WITHIN_MS) return;
      if (namesOf(topics) === keptTopics && nowMs - keptMs < COUNTS_EVERY_MS) return;
      triedMs = nowMs;
      write(topics);
    },
    close(topics: readonly UnreadTopic[]) {
      if (topics.length > 0) write(topics);
    },
  };
}

function namesOf(topics: readonly UnreadTopic[]): string {
  return JSON.stringify(topics.map(({ topic }) => topic).toSorted());
}
