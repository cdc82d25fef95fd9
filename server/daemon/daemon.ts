import type { TargetSheet } from '../../shared/model/targets.ts';
import type { HouseFacts } from '../../shared/wire/http.ts';
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
import { createExchange, exposuresOfWorld } from './exchange/exchange.ts';
import { createFindings, type FindingsDesk } from './findings.ts';
import { floodFacts } from './flood-facts.ts';
import { createHalves } from './halves.ts';
import { createHearing } from './hearing/hearing.ts';
import { createInbox } from './inbox.ts';
import { ingest, type Touched } from './ingest.ts';
import { nextRunsOutMs } from './judge.ts';
import { createLifecycle, type Lifecycle } from './lifecycle/lifecycle.ts';
import { commit, createOrders } from './orders.ts';
import { createPeopleDesk, type Ways } from './people-desk.ts';
import { createPulse, PING_EVERY_MS, type Ping } from './pulse.ts';
import { createQueries } from './queries.ts';
import { readBackPatience } from './read-back.ts';
import { createRelay } from './relay.ts';
import { startSealer } from './sealer.ts';
import { createTeller, HEARTBEAT_EVERY_MS, type Teller } from './teller.ts';
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
  /** told when a device may no longer log in at the broker, or may again */
  readonly onLogins?: () => void;
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
  readonly waiting: Lifecycle['waiting'];
  readonly archive: Lifecycle['archive'];
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
  const deps = { ...given, store: writability.store, writability };
  const { store, clock, timers, log, sheet, timeZone } = deps;
  const webhookSet = deps.ways.houseWay !== null;
  const settings: AnnunciatorSettings = { webhookSet, timeZone, links: deps.links };
  const { world, halves } = openWorld(deps);
  const ears = createHearing({ ...deps, world, commit: (work) => commit({ store, world }, work) });
  const ingestContext = { world, store, sheet, settings, halves, mappingOf: ears.mappingOf };
  const startedMs = clock.nowMs();
  const counts: Counts = { received: 0, conflicts: 0 };
  const house = () => houseFacts(deps, { counts, world, lifecycle });
  const queryContext = { world, store, clock, halves, timeZone, sourceText: deps.sourceText, house };
  const findings = createFindings(queryContext);
  const queries = createQueries(queryContext, findings);
  const teller = createTeller(queryContext, deps.feed);
  const pulse = createPulse({ clock, log, ping: deps.ping ?? null });
  const relayTurn = relayTurnOf(deps, () => pulse.beat('outbox'));
  const alarmChanged = (alarmId: string) => {
    teller.alarm(alarmId);
    relayTurn();
  };
  const devices = rememberDevices(deps);
  const tell = (touched: Touched) =>
    tellTaken(touched, { counts, pulse, ears, devices, lifecycle, teller, alarmChanged, delays });
  const take = (messages: readonly RawMessage[]) =>
    tell(committed(() => ingest(messages, ingestContext), { deps, world }));
  const lifecycle = openLifecycle(deps, { ingestContext, teller, alarmChanged, tell });
  const inbox = ears.before(createInbox(take, timers));
  const lookedUpMs = new Map<string, number>();
  const watching = { world, store, settings, halves, query: queryContext, findings, startedMs, lookedUpMs };
  const idle = () => inbox.waiting() === 0;
  const { watch, delays } = watches(watching, { deps, teller, pulse, relayTurn, idle });
  const ordering = { world, store, clock, settings, placeChanged: teller.place, alarmChanged };
  const exposuresIn = exposuresOfWorld(queryContext);
  const exchanging = { ...queryContext, timers, sheet, exposuresIn, placeChanged: teller.place };
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
    waiting: lifecycle.waiting,
    archive: lifecycle.archive,
    placeChanged: teller.place,
    start(bus) {
      stops = startTurns(bus, { deps, world, settings, teller, findings, pulse, watch, alarmChanged });
      stops.push(ears.start(timers, PAGE_EVERY_MS), lifecycle.start());
      delays.due(nextRunsOutMs(clock.nowMs(), watching));
    },
    stop() {
      noteAlive(deps);
      for (const stop of [...stops, delays.stop]) stop();
    },
  };
}

type TakenDeps = {
  readonly counts: Counts;
  readonly pulse: ReturnType<typeof createPulse>;
  readonly ears: ReturnType<typeof createHearing>;
  readonly devices: DeviceMemory;
  readonly lifecycle: Lifecycle;
  readonly teller: Teller;
  readonly alarmChanged: (alarmId: string) => void;
  readonly delays: { due(runsOutMs: number | null): void };
};

/** What follows the commit of a group of messages. */
function tellTaken(touched: Touched, told: TakenDeps): void {
  const { counts, pulse, ears, devices, lifecycle, teller, alarmChanged, delays } = told;
  counts.received += touched.stored;
  counts.conflicts += touched.conflicts;
  pulse.beat('ingest');
  ears.noteMapped(touched.mapped);
  devices.deliveries.took(touched);
  lifecycle.noteLeftOut(touched.leftOut);
  for (const placeId of touched.placesMade) teller.place(placeId);
  teller.heard([...touched.placesHeard]);
  for (const alarmId of touched.alarms) alarmChanged(alarmId);
  delays.due(touched.runsOutMs);
}

type LifecycleOf = Pick<TakenDeps, 'teller' | 'alarmChanged'> & {
  readonly ingestContext: Parameters<typeof ingest>[1];
  readonly tell: (touched: Touched) => void;
};

function openLifecycle(
  deps: HouseDeps,
  { ingestContext, teller, alarmChanged, tell }: LifecycleOf,
): Lifecycle {
  const { store, clock, timers, log } = deps;
  return createLifecycle({
    ...{ world: ingestContext.world, store, clock, timers, log, alarmChanged, tell },
    placeChanged: teller.place,
    houseChanged: teller.house,
    loginChanged: deps.onLogins ?? (() => undefined),
    takeIn: (packs, device) =>
      ingest(packs, { ...ingestContext, accepted: { device, nowMs: clock.nowMs() } }),
  });
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
    startSealer({ context: settling, timers, log }),
    turns.findings.start({ timers, log }),
    timers.every(WATCH_EVERY_MS, turns.watch),
    ...paces(teller, deps),
    timers.every(NOTE_EVERY_MS, () => noteAlive(deps)),
    timers.every(PING_EVERY_MS, () => void pulse.turn()),
  ];
}

/** The world as it is on disk, with the patience that alarms had spent when the daemon ended. */
function openWorld({ store, timeZone }: HouseDeps) {
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
    deps.log.error('a group of messages could not be stored and was not acknowledged', { error });
    throw cause;
  }
}

type FactsOf = { readonly counts: Counts; readonly world: World; readonly lifecycle: Lifecycle };

function houseFacts(deps: HouseDeps, { counts, world, lifecycle }: FactsOf): HouseFacts {
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
    flood: floodFacts(world, deps.clock.nowMs()),
    ...lifecycle.facts(),
  };
}
