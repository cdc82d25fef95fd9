import type { TargetSheet } from '../../shared/model/targets.ts';
import type { HouseFacts } from '../../shared/wire/http.ts';
import { refusedDelivery } from '../domain/devices/delivery.ts';
import { horizonMs } from '../domain/room/horizon.ts';
import type {
  Bus,
  CheckDesk,
  Clock,
  Exchange,
  ForeignDoor,
  Hearing,
  Inbox,
  Keep,
  ListenAt,
  LiveFeed,
  Log,
  Orders,
  PeopleDesk,
  Queries,
  RawMessage,
  Store,
  Timers,
} from '../ports.ts';
import { NOTE_EVERY_MS, noteAlive, sayIfDown } from './alive.ts';
import type { AnnunciatorSettings } from './annunciate.ts';
import type { TellSettings } from './calling.ts';
import { createCheckDesk } from './checks/desk.ts';
import { type DeviceMemory, rememberDevices } from './devices/memory.ts';
import { createExchange } from './exchange/exchange.ts';
import { createFindings, type FindingsDesk } from './findings.ts';
import { floodFacts } from './flood-facts.ts';
import { guarded, guardedTimers } from './guard.ts';
import { createHalves } from './halves.ts';
import { createHearing } from './hearing/hearing.ts';
import { createInbox, isOfRecord } from './inbox.ts';
import { ingest, type Touched } from './ingest.ts';
import { commit, createOrders } from './orders.ts';
import { createPeopleDesk, type Ways } from './people-desk.ts';
import { createPulse, PING_EVERY_MS, type Ping } from './pulse.ts';
import { createQueries } from './queries.ts';
import { readBackPatience } from './read-back.ts';
import { createRelay } from './relay.ts';
import { startSealer } from './sealer.ts';
import { setAside } from './set-aside.ts';
import { createTeller, HEARTBEAT_EVERY_MS, type Teller } from './teller.ts';
import { createTroubles, type Troubles } from './troubles.ts';
import { watches } from './watches.ts';
import { World } from './world.ts';
import { type Writability, watchWrites } from './writable.ts';

/** How often pages are told of new values, time is let pass for alarms, and the topics of places go out, ms. */
const PAGE_EVERY_MS = 200;
const WATCH_EVERY_MS = 1_000;
const TOPICS_EVERY_MS = 10_000;
const HOUSE_EVERY_MS = 2_000;
/** How often a store that refused is tried again, ms. */
const WRITE_AGAIN_EVERY_MS = 5_000;

export type DaemonDeps = {
  readonly store: Store;
  readonly clock: Clock;
  readonly timers: Timers;
  readonly log: Log;
  readonly feed: LiveFeed;
  readonly ways: Ways;
  readonly links: TellSettings['links'];
  readonly sheet: TargetSheet;
  readonly timeZone: string;
  /** whole days for which readings are kept; for ever unless given */
  readonly keepRawDays?: number | null;
  readonly sourceText: (key: string) => string;
  readonly keep: Keep;
  /** tells an outside watcher that all is alive; null for none */
  readonly ping?: Ping | null;
  /** told of the topic filters that mappings read, after each change */
  readonly onFilters?: (filters: readonly string[]) => void;
  /** listens at an outside broker; null at the embedded one, which tells by itself */
  readonly listenAt?: ListenAt | null;
  /** facts of the house that the edges know */
  readonly edges: () => Pick<HouseFacts, 'version' | 'broker' | 'demo' | 'backup' | 'room'>;
};

export type Daemon = {
  readonly inbox: Inbox;
  readonly queries: Queries;
  readonly orders: Omit<Orders, 'startDemo' | 'removeDemo'>;
  readonly people: PeopleDesk;
  readonly checks: CheckDesk;
  readonly world: World;
  readonly exchange: Exchange;
  readonly findings: FindingsDesk;
  readonly hearing: Hearing;
  readonly foreign: ForeignDoor;
  readonly devices: DeviceMemory;
  start(bus: Bus): void;
  /** Tells pages and topics of a place that was made, changed or removed beside the daemon. */
  placeChanged(placeId: string): void;
  stop(): void;
};

type HouseDeps = DaemonDeps & { readonly writability: Writability };
type Counts = { received: number; conflicts: number };

/**
 * Ties the rooms together: messages in, committed record, alarms, people and pages told.
 * Effects follow the commit; what cannot be committed is not acknowledged.
 */
export function createDaemon(given: DaemonDeps): Daemon {
  const writability = watchWrites(given);
  const { store } = writability;
  const { world, halves } = openWorld({ store, timeZone: given.timeZone });
  const troubles = createTroubles({ ...given, world });
  const deps = { ...given, store, writability, timers: guardedTimers(given.timers, { troubles }) };
  const { clock, timers, log, sheet, timeZone } = deps;
  const webhookSet = deps.ways.houseWay !== null;
  const settings: AnnunciatorSettings = { webhookSet, timeZone, links: deps.links };
  const ears = createHearing({ ...deps, world, commit: (work) => commit({ store, world }, work) });
  const ingestContext = { world, store, sheet, settings, halves, troubles, mappingOf: ears.mappingOf };
  const startedMs = clock.nowMs();
  const counts: Counts = { received: 0, conflicts: 0 };
  const house = () => ({ ...houseFacts(deps, counts), flood: floodFacts(world, clock.nowMs()) });
  const queryContext = { world, store, clock, halves, timeZone, sourceText: deps.sourceText, house };
  const findings = createFindings(queryContext);
  const queries = createQueries(queryContext, findings);
  const teller = createTeller({ ...queryContext, troubles }, deps.feed);
  const pulse = createPulse({ clock, log, ping: deps.ping ?? null });
  const relayTurn = relayTurnOf(deps, () => pulse.beat('outbox'));
  const alarmChanged = (alarmId: string) => {
    teller.alarm(alarmId);
    relayTurn();
  };
  const devices = rememberDevices(deps);
  const take = (messages: readonly RawMessage[], over: ReadonlySet<string>) => {
    const touched = committed(() => ingest(messages, ingestContext, over), { deps, world });
    counts.received += touched.stored;
    counts.conflicts += touched.conflicts;
    pulse.beat('ingest');
    for (const [what, tell] of told(touched)) guarded(what, tell, { troubles, otherwise: undefined });
  };
  /** What follows a commit: it cannot take the commit back, and one part must not keep the others from theirs. */
  const told = (touched: Touched): (readonly [string, () => void])[] => [
    ['counts of mappings', () => ears.noteMapped(touched.mapped)],
    ['counts of devices', () => devices.deliveries.took(touched)],
    ['pages of new places', () => touched.placesMade.forEach(teller.place)],
    ['pages of places', () => teller.heard([...touched.placesHeard])],
    ['messages of alarms', () => touched.alarms.forEach(alarmChanged)],
    ['when alarms are due', () => delays.due(touched.runsOutMs)],
  ];
  const putAside = (message: RawMessage, cause: unknown) => {
    const { device, topic, code, atMs } = setAside(message, cause, { store, troubles });
    const mapping = ears.mappingOf(message.topic);
    if (mapping) ears.noteMapped([{ id: mapping.id, topic, atMs, code, stored: 0 }]);
    if (device !== null)
      devices.deliveries.took({ deliveries: [refusedDelivery(device, atMs)], statuses: [] });
  };
  const inbox = ears.before(createInbox({ take, setAside: putAside }, timers));
  const lookedUpMs = new Map<string, number>();
  const watching = {
    world,
    store,
    settings,
    halves,
    query: queryContext,
    findings,
    startedMs,
    lookedUpMs,
    heldBackMs: new Map<string, number>(),
    troubles,
  };
  const idle = () => inbox.waiting() === 0;
  const { watch, delays, next } = watches(watching, { deps, teller, pulse, relayTurn, idle });
  const ordering = { world, store, clock, settings, placeChanged: teller.place, alarmChanged };
  const { exposures } = queries;
  const exchanging = { ...queryContext, timers, sheet, exposures, placeChanged: teller.place };
  let stops: (() => void)[] = [];

  return {
    inbox,
    queries,
    exchange: createExchange(exchanging),
    orders: createOrders(ordering),
    people: createPeopleDesk(ordering, deps.ways),
    checks: createCheckDesk(ordering),
    world,
    findings,
    ...ears.doors,
    devices,
    placeChanged: teller.place,
    start(bus) {
      stops = startTurns(bus, {
        deps,
        world,
        settings,
        teller,
        findings,
        pulse,
        watch,
        alarmChanged,
        troubles,
      });
      stops.push(ears.start(timers, PAGE_EVERY_MS));
      delays.due(next());
    },
    stop() {
      noteAlive(deps);
      for (const stop of [...stops, delays.stop]) stop();
    },
  };
}

type Turns = {
  readonly deps: HouseDeps;
  readonly world: World;
  readonly settings: AnnunciatorSettings;
  readonly teller: Teller;
  readonly findings: FindingsDesk;
  readonly pulse: ReturnType<typeof createPulse>;
  readonly watch: () => void;
  readonly alarmChanged: (alarmId: string) => void;
  readonly troubles: Troubles;
};

/** Everything that comes round by the clock, from now on; says first from when to when nobody watched. */
function startTurns(bus: Bus, turns: Turns): (() => void)[] {
  const { deps, world, settings, teller, pulse } = turns;
  const { store, clock, timers, log, timeZone, keepRawDays = null } = deps;
  teller.attach(bus);
  const down = sayIfDown({ ...deps, world, settings });
  if (down) turns.alarmChanged(down);
  const settling = () => ({ world, store, timeZone, keepRawDays, nowMs: clock.nowMs() });
  return [
    startSealer({ context: settling, timers, log, troubles: turns.troubles }),
    turns.findings.start({ timers, log }),
    timers.every(WATCH_EVERY_MS, turns.watch),
    ...paces(teller, deps),
    timers.every(NOTE_EVERY_MS, () => noteAlive(deps)),
    timers.every(PING_EVERY_MS, () => void pulse.turn()),
  ];
}

/** The world as it is on disk, with the patience that alarms had spent when the daemon ended. */
function openWorld({ store, timeZone }: Pick<DaemonDeps, 'store' | 'timeZone'>) {
  const world = new World(store);
  const halves = createHalves({ world, store, timeZone });
  world.afterReload = () => readBackPatience({ world, halves, store });
  world.afterReload();
  return { world, halves };
}

function relayTurnOf({ store, ways, clock, log, writability }: HouseDeps, cameRound: () => void): () => void {
  const relay = createRelay({ store, ...ways, clock, log });
  return () => {
    // what cannot be noted as sent would be sent again and again
    if (!writability.writable()) return;
    relay.turn().then(cameRound, (cause: unknown) => {
      writability.refused(cause);
      log.error('the relay failed', { error: String(cause) });
    });
  };
}

function paces(teller: Teller, { timers, writability }: HouseDeps): (() => void)[] {
  return [
    timers.every(WRITE_AGAIN_EVERY_MS, writability.turn),
    timers.every(PAGE_EVERY_MS, teller.pages),
    timers.every(TOPICS_EVERY_MS, teller.topics),
    timers.every(HEARTBEAT_EVERY_MS, teller.heartbeat),
    timers.every(HOUSE_EVERY_MS, teller.house),
  ];
}

function committed(work: () => Touched, { deps, world }: { deps: DaemonDeps; world: World }): Touched {
  try {
    return deps.store.transaction(work);
  } catch (cause) {
    world.reload();
    const error = cause instanceof Error ? cause.message : String(cause);
    const then = isOfRecord(cause) ? 'was not acknowledged' : 'is tried again one message at a time';
    deps.log.error(`a group of messages could not be stored and ${then}`, { error });
    throw cause;
  }
}

function houseFacts(deps: HouseDeps, counts: Counts): HouseFacts {
  const { store, edges, timeZone, ways, writability } = deps;
  const refused = Object.values(store.refusals.countsByCode()).reduce((sum, n) => sum + n, 0);
  const { count, lastError } = store.outbox.waiting();
  const { readingsFromMs } = horizonMs(store.horizon.get());
  const from = Number.isFinite(readingsFromMs) ? new Date(readingsFromMs).toISOString() : null;
  const known = edges();
  return {
    ...known,
    room: { ...known.room, readings: { keepDays: deps.keepRawDays ?? null, from } },
    timeZone,
    readings: { received: counts.received, refused, conflicts: counts.conflicts },
    webhook: { set: ways.houseWay !== null, waiting: count, lastError },
    store: writability.facts(),
  };
}
