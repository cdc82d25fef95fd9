import { PROBE_QUANTITIES, type ProbeQuantityName } from '../../../../shared/quantities.ts';
import type { MappableProbe, UnreadAnswer } from '../../../../shared/wire/probes/foreign-messages.ts';
import { unitsOf } from '../../../domain/exchange/units.ts';
import { mappedDevice } from '../../../domain/mappings/decode-mapped.ts';
import type {
  ForeignGateway,
  ForeignMessages,
  Inbox,
  Keep,
  ListenAt,
  LiveFeed,
  Log,
  Timers,
} from '../../../ports.ts';
import { type BookDeps, createMappingBook, type MappedOutcome } from './book.ts';
import { createListening } from './listening.ts';
import { createUnread } from './unread.ts';
import { createWatching, type ForeignMessagesContext } from './watching.ts';

type ForeignMessagesDeps = Omit<ForeignMessagesContext, 'mappingOf' | 'writable'> & {
  readonly feed: LiveFeed;
  readonly commit: BookDeps['commit'];
  /** called with the filters that mappings read, at the start and after each change */
  readonly onFilters?: BookDeps['onFilters'];
  /** null at the embedded broker, which reports foreign messages by itself */
  readonly listenAt?: ListenAt | null;
  readonly keep: Keep;
  readonly log: Log;
  /** whether topics that nothing reads can be seen at the broker */
  readonly unreadSource?: () => UnreadAnswer['source'];
};

const PROBES: readonly MappableProbe[] = (Object.keys(PROBE_QUANTITIES) as ProbeQuantityName[]).map(
  (probe) => ({
    probe,
    words: PROBE_QUANTITIES[probe].name,
    units: unitsOf(probe) ?? [],
  }),
);

/** What was captured is asked for whole, so pages are notified of it less often, ms. */
const CAPTURED_EVERY_MS = 1_000;

/** Watching, listening and the mappings, as one service. */
export function createForeignMessages(deps: ForeignMessagesDeps) {
  const { world, store, clock, feed, commit, onFilters = () => undefined, listenAt = null } = deps;
  const book = createMappingBook({ store, commit, onFilters });
  const { mappingOf } = book;
  const context: ForeignMessagesContext = { world, store, clock, writable: store.lasting, mappingOf };
  const watching = createWatching(context);
  const listening = createListening(context, listenAt);
  const isMapped = (topic: string) => mappingOf(topic) !== null;
  const unread = createUnread({
    clock,
    log: deps.log,
    keep: deps.keep,
    isMapped,
    source: deps.unreadSource ?? (() => 'embedded'),
  });
  const since = new Date(clock.nowMs()).toISOString();
  const foreignMessages: ForeignMessages = {
    watch: watching.watch,
    watched: ({ afterId }) => watching.answer(afterId),
    mappings: () => ({ mappings: book.views(), probes: PROBES, since }),
    addMapping: book.add,
    updateMapping: book.update,
    removeMapping: book.remove,
    listen: listening.listen,
    stopListening: listening.stop,
    captured: listening.answer,
    tryOut: listening.tryOut,
    unreadTopics: unread.answer,
  };
  const foreign: ForeignGateway = {
    takes: isMapped,
    speaksFor(topic) {
      const mapping = mappingOf(topic);
      return mapping && mappedDevice(topic, mapping);
    },
    mayPublish: (topic) => isMapped(topic) || listening.isListeningTo(topic),
    observe: listening.observe,
    unread: unread.note,
  };
  const turn = createTurn({ watching, listening, unread, feed, clock });
  return {
    services: { foreignMessages, foreign },
    mappingOf,
    noteMapped(outcomes: readonly MappedOutcome[]) {
      for (const outcome of outcomes) book.note(outcome);
    },
    /** The inbox, each of whose messages is watched before it is stored. */
    before: (inbox: Inbox): Inbox => ({
      waiting: inbox.waiting,
      over: inbox.over,
      offer(message) {
        watching.receive(message);
        return inbox.offer(message);
      },
    }),
    /** From now on what came is judged in turns, and pages are notified that there is something to ask for. */
    start(timers: Timers, everyMs: number): () => void {
      onFilters(book.filters());
      const stop = timers.every(everyMs, turn);
      return () => {
        stop();
        listening.close();
        unread.close();
      };
    },
  };
}

type Turn = {
  readonly watching: ReturnType<typeof createWatching>;
  readonly listening: ReturnType<typeof createListening>;
  readonly unread: ReturnType<typeof createUnread>;
  readonly feed: LiveFeed;
  readonly clock: ForeignMessagesContext['clock'];
};

/** Lets time pass for what was received, and notifies pages when there is something new to ask for. */
function createTurn({ watching, listening, unread, feed, clock }: Turn): () => void {
  let lastSent = JSON.stringify({ watched: 0, captured: 0, unread: 0 });
  let [captured, unreadSent, capturedSentMs] = [0, 0, 0];
  return () => {
    watching.turn();
    listening.turn();
    unread.turn();
    if (clock.nowMs() - capturedSentMs >= CAPTURED_EVERY_MS) {
      captured = listening.last();
      unreadSent = unread.last();
      capturedSentMs = clock.nowMs();
    }
    const newest = { watched: watching.last(), captured, unread: unreadSent };
    const text = JSON.stringify(newest);
    if (text !== lastSent) feed.foreignCounts(newest);
    lastSent = text;
  };
}
