import { alarmTopic, HEARTBEAT_TOPIC, placeNowTopic } from '../../firmware-contracts/v1/topics.ts';
import type { TargetSheet } from '../../shared/model/targets.ts';
import type { HouseFacts } from '../../shared/wire/http.ts';
import { alarmWords } from '../../shared/words/alarm.ts';
import type { Bus, Clock, Inbox, LiveFeed, Log, Notifier, Orders, Queries, Store, Timers } from '../ports.ts';
import type { AnnunciatorSettings } from './annunciate.ts';
import { viewOf } from './annunciate.ts';
import { createInbox } from './inbox.ts';
import { ingest, type Touched } from './ingest.ts';
import { createOrders } from './orders.ts';
import { createQueries, nowOf, summary } from './queries.ts';
import { createRelay } from './relay.ts';
import { watchTurn } from './watch.ts';
import { World } from './world.ts';

/** How often pages are told of new values, the state of places goes out by MQTT, and so on. */
const PAGE_EVERY_MS = 200;
const WATCH_EVERY_MS = 1_000;
const TOPICS_EVERY_MS = 10_000;
const HEARTBEAT_EVERY_MS = 30_000;
const HOUSE_EVERY_MS = 2_000;

export type DaemonDeps = {
  readonly store: Store;
  readonly clock: Clock;
  readonly timers: Timers;
  readonly log: Log;
  readonly feed: LiveFeed;
  readonly notifier: Notifier | null;
  readonly sheet: TargetSheet;
  readonly timeZone: string;
  /** facts of the house that the edges know */
  readonly edges: () => Pick<HouseFacts, 'version' | 'broker' | 'demo'>;
};

export type Daemon = {
  readonly inbox: Inbox;
  readonly queries: Queries;
  readonly orders: Omit<Orders, 'startDemo' | 'removeDemo'>;
  /** Makes a place of the demo ready before its devices speak. */
  readonly world: World;
  start(bus: Bus): void;
  /** Tells pages and topics of a place that was made, changed or removed beside the daemon. */
  placeChanged(placeId: string): void;
  stop(): void;
};

/**
 * Ties the rooms together: messages in, committed record, alarms, people and pages told.
 * Effects follow the commit; what cannot be committed is not acknowledged.
 */
export function createDaemon(deps: DaemonDeps): Daemon {
  const { store, clock, timers, log, feed, notifier, sheet, timeZone } = deps;
  const world = new World(store);
  const settings: AnnunciatorSettings = { webhookSet: notifier !== null, timeZone };
  const context = { world, store, sheet, settings };
  const startedMs = clock.nowMs();
  const counts = { received: 0, conflicts: 0 };
  const heardForPages = new Set<string>();
  const heardForTopics = new Set<string>();
  let bus: Bus | null = null;
  let stops: (() => void)[] = [];

  const house = (): HouseFacts => {
    const refused = Object.values(store.refusals.countsByCode()).reduce((sum, n) => sum + n, 0);
    const { count, lastError } = store.outbox.waiting();
    return {
      ...deps.edges(),
      timeZone,
      readings: { received: counts.received, refused, conflicts: counts.conflicts },
      webhook: { set: notifier !== null, waiting: count, lastError },
    };
  };
  const queryContext = { world, store, clock, timeZone, house };
  const relay = createRelay({ outbox: store.outbox, notifier, clock, log });

  const alarmChanged = (alarmId: string) => {
    const record = world.alarms.get(alarmId);
    if (!record) return;
    const alarm = viewOf(record, world);
    feed.alarm(alarm);
    const words = alarmWords(alarm, { unit: 'C', timeZone, nowMs: clock.nowMs() });
    bus?.publishRetained(alarmTopic(alarmId), JSON.stringify({ ...alarm, words }));
    background(relay.turn());
  };
  const placeChanged = (placeId: string) => {
    const place = world.places.get(placeId);
    if (place) feed.place(summary(place, queryContext));
    else feed.placeGone(placeId);
    heardForTopics.add(placeId);
  };
  const background = (work: Promise<void>) => {
    work.catch((cause: unknown) => log.error('the relay failed', { error: String(cause) }));
  };

  const take = (messages: Parameters<typeof ingest>[0]) => {
    let touched: Touched;
    try {
      touched = store.transaction(() => ingest(messages, context));
    } catch (cause) {
      world.reload();
      log.error('a group of messages could not be stored and was not acknowledged', {
        messages: messages.length,
        error: cause instanceof Error ? cause.message : String(cause),
      });
      throw cause;
    }
    counts.received += touched.stored;
    counts.conflicts += touched.conflicts;
    for (const placeId of touched.placesMade) placeChanged(placeId);
    for (const placeId of touched.placesHeard) {
      heardForPages.add(placeId);
      heardForTopics.add(placeId);
    }
    for (const alarmId of touched.alarms) alarmChanged(alarmId);
  };

  const tellPages = () => {
    for (const placeId of heardForPages) {
      const place = world.places.get(placeId);
      if (place) feed.now(nowOf(place, queryContext));
    }
    heardForPages.clear();
  };
  const tellTopics = () => {
    for (const placeId of heardForTopics) {
      const place = world.places.get(placeId);
      const payload = place ? JSON.stringify({ name: place.name, ...nowOf(place, queryContext) }) : '';
      bus?.publishRetained(placeNowTopic(placeId), payload);
    }
    heardForTopics.clear();
  };
  const heartbeat = () => {
    const time = new Date(clock.nowMs()).toISOString();
    bus?.publishRetained(HEARTBEAT_TOPIC, JSON.stringify({ time, intervalS: HEARTBEAT_EVERY_MS / 1000 }));
  };
  const watch = () => {
    for (const alarmId of watchTurn({ ...context, nowMs: clock.nowMs(), startedMs })) alarmChanged(alarmId);
    background(relay.turn());
  };
  let houseTold = '';
  const tellHouse = () => {
    const facts = house();
    const text = JSON.stringify(facts);
    if (text !== houseTold) feed.house(facts);
    houseTold = text;
  };

  return {
    inbox: createInbox(take, timers),
    queries: createQueries(queryContext),
    orders: createOrders({ world, store, clock, settings, placeChanged, alarmChanged }),
    world,
    placeChanged,
    start(readyBus) {
      bus = readyBus;
      for (const placeId of world.places.keys()) heardForTopics.add(placeId);
      for (const alarmId of world.alarms.keys()) alarmChanged(alarmId);
      heartbeat();
      tellTopics();
      stops = [
        timers.every(PAGE_EVERY_MS, tellPages),
        timers.every(WATCH_EVERY_MS, watch),
        timers.every(TOPICS_EVERY_MS, tellTopics),
        timers.every(HEARTBEAT_EVERY_MS, heartbeat),
        timers.every(HOUSE_EVERY_MS, tellHouse),
      ];
    },
    stop() {
      for (const stop of stops) stop();
    },
  };
}
