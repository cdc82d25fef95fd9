import { MAX_FUTURE_MS } from '../../firmware-contracts/v1/limits.ts';
import type { TargetSheet } from '../../shared/model/targets.ts';
import type { UnreadAnswer } from '../../shared/wire/hearing.ts';
import type { HouseFacts } from '../../shared/wire/http.ts';
import type {
  Bus,
  CheckDesk,
  Exchange,
  ForeignDoor,
  Hearing,
  Inbox,
  Keep,
  ListenAt,
  LiveFeed,
  Log,
  LoopDelays,
  Orders,
  PeopleDesk,
  Queries,
  RawMessage,
  RecordStore,
  StatusDesk,
  SteadyClock,
  Store,
  Timers,
} from '../ports.ts';
import { NOTE_EVERY_MS, noteAlive, sayIfDown } from './alive.ts';
import type { AnnunciatorSettings } from './annunciate.ts';
import type { TellSettings } from './calling.ts';
import { createCheckDesk } from './checks/desk.ts';
import { type ClockWatch, createClockWatch } from './clock/clock-watch.ts';
import { movingWithClock } from './clock/follow.ts';
import { type DeviceMemory, rememberDevices } from './devices/memory.ts';
import { type Emergency, openEmergency } from './emergency/emergency.ts';
import { createExchange, exposuresOfWorld } from './exchange/exchange.ts';
import { createFindings, type FindingsDesk } from './findings.ts';
import { guardedTimers } from './guard.ts';
import { createHalves } from './halves.ts';
import { createHearing } from './hearing/hearing.ts';
import { type Counts, houseFacts } from './house-facts.ts';
import { createInbox, isOfRecord } from './inbox.ts';
import { ingest } from './ingest.ts';
import { createLifecycle, type Lifecycle } from './lifecycle/lifecycle.ts';
import { commit, createOrders } from './orders.ts';
import { createPeopleDesk, type Ways } from './people-desk.ts';
import { createPulse, PING_EVERY_MS, type Ping } from './pulse.ts';
import { createQueries } from './queries.ts';
import { readBackPatience } from './read-back.ts';
import { createRelay } from './relay.ts';
import { countingFailures, nobodyReachedNow, relayTurnOf } from './relay-turn.ts';
import { startSealer } from './sealer.ts';
import { createStatus, type Status } from './status/status.ts';
import { requireLasting, type TakenDeps, tellAside, tellTaken } from './taken.ts';
import { createTeller, HEARTBEAT_EVERY_MS, type Teller } from './teller.ts';
import type { Touched } from './touched.ts';
import { createTroubles, type Troubles } from './troubles.ts';
import { watches } from './watches.ts';
import { World } from './world.ts';

/** How often pages are told of new values, time is let pass for alarms, and the topics of places go out, ms. */
const PAGE_EVERY_MS = 200;
const WATCH_EVERY_MS = 1_000;
const TOPICS_EVERY_MS = 10_000;
const HOUSE_EVERY_MS = 2_000;
/** How often a store that refused is tried again, ms. */
const WRITE_AGAIN_EVERY_MS = 5_000;
/** How often it is read again what memory would start from, were the disk to fail altogether, ms. */
const PROVIDE_EVERY_MS = 5 * 60_000;

export type DaemonDeps = {
  readonly store: RecordStore;
  /** what goes on while the store cannot be written; opened here unless given */
  readonly emergency?: Emergency;
  readonly clock: SteadyClock;
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
  /** whether topics that nothing reads can be seen at the broker */
  readonly unreadSource?: () => UnreadAnswer['source'];
  /** how late timers run; null where nothing measures it */
  readonly loopDelays?: LoopDelays | null;
  /** version of the runtime */
  readonly node?: string;
  /** facts of the house that the edges know */
  readonly edges: () => Pick<HouseFacts, 'version' | 'broker' | 'demo' | 'backup' | 'room' | 'page'>;
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
  readonly status: StatusDesk;
  /** Whether what has had its time may be forgotten: the clock was steady for long enough. */
  mayForget(): boolean;
  start(bus: Bus): void;
  /** Tells pages and topics of a place that was made, changed or removed beside the daemon. */
  placeChanged(placeId: string): void;
  stop(): void;
  /** Settles once the messages that were under way at the stop have ended, or were broken off. */
  ended(): Promise<void>;
};

type HouseDeps = Omit<DaemonDeps, 'store'> & {
  readonly store: Store;
  readonly emergency: Emergency;
  readonly clockWatch: ClockWatch;
};

/**
 * Ties the rooms together: messages in, committed record, alarms, people and pages told.
 * Effects follow the commit; what cannot be committed is not acknowledged.
 */
export function createDaemon(given: DaemonDeps): Daemon {
  const emergency = given.emergency ?? openEmergency({ ...given, record: given.store });
  const { store } = emergency;
  const clockWatch = createClockWatch({ ...given, store });
  // what waits in the record moves with the clock before it is read
  clockWatch.begin();
  const { world, halves } = openWorld({ store, timeZone: given.timeZone, clock: given.clock });
  emergency.onEnter(() => world.reload());
  const troubles = createTroubles({ ...given, world });
  const deps: HouseDeps = {
    ...given,
    store,
    emergency,
    clockWatch,
    timers: guardedTimers(given.timers, (cause) =>
      troubles.note({ rule: 'monitoring-fault', what: 'a turn of the daemon', cause }),
    ),
  };
  const { clock, timers, log, sheet, timeZone } = deps;
  const webhookSet = deps.ways.houseWay !== null;
  const settings: AnnunciatorSettings = { webhookSet, timeZone, links: deps.links };
  const ears = createHearing({ ...deps, world, commit: (work) => commit({ store, world }, work) });
  const { judgedMs } = clockWatch;
  const ingestContext = {
    world,
    store,
    sheet,
    settings,
    halves,
    troubles,
    mappingOf: ears.mappingOf,
    judgedMs,
  };
  const counts: Counts = { received: 0, conflicts: 0 };
  const house = () => houseFacts(deps, { counts, world, lifecycle });
  const queryContext = { world, store, clock, halves, timeZone, sourceText: deps.sourceText, house };
  const findings = createFindings(queryContext);
  const queries = createQueries(queryContext, findings);
  const teller = createTeller({ ...queryContext, troubles }, deps.feed);
  const nobodyReached = () => nobodyReachedNow({ store, webhookSet, nowMs: clock.nowMs() });
  const pulse = createPulse({ clock, log, ping: deps.ping ?? null, nobodyReached });
  let attached: Bus | null = null;
  const status = createStatus({ ...deps, world, house, bus: () => attached });
  const carrier = countingFailures(deps.ways.carrier, status.failed);
  const relay = createRelay({ store, ...deps.ways, carrier, clock, timers, log });
  const relayTurn = relayTurnOf(relay, deps, () => pulse.beat('outbox'));
  const alarmChanged = (alarmId: string) => {
    teller.alarm(alarmId);
    relayTurn();
  };
  const devices = rememberDevices(deps);
  const telling = { store, counts, pulse, ears, devices, teller, alarmChanged, troubles };
  const tell = (touched: Touched) => tellTaken(touched, { ...telling, lifecycle, delays });
  const lifecycle = openLifecycle(deps, { ingestContext, teller, alarmChanged, tell });
  const take = (messages: readonly RawMessage[]) => {
    clockWatch.look();
    const touched = committed(() => ingest(messages, ingestContext), { deps, world });
    tell(touched);
    requireLasting(touched, store);
  };
  const putAside = (message: RawMessage, cause: unknown) =>
    tellAside(message, cause, { store, troubles, ears, devices });
  const inbox = ears.before(createInbox({ take, setAside: putAside }, timers));
  const watching = {
    world,
    store,
    settings,
    halves,
    query: queryContext,
    findings,
    heldBackMs: new Map<string, number>(),
    troubles,
    recordTroubles: emergency.troubles,
    ...movingWithClock({ ...deps, world }),
  };
  const idle = () => inbox.waiting() === 0;
  const { watch, delays, next } = watches(watching, { deps, teller, pulse, relayTurn, idle });
  const ordering = { world, store, clock, settings, placeChanged: teller.place, alarmChanged };
  const exposuresIn = exposuresOfWorld(queryContext);
  const exchanging = { ...queryContext, timers, sheet, exposuresIn, placeChanged: teller.place };
  let stops: (() => void)[] = [];
  let ended: Promise<void> = Promise.resolve();

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
    status,
    mayForget: clockWatch.mayDrop,
    placeChanged: teller.place,
    start(bus) {
      attached = bus;
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
        status,
      });
      stops.push(ears.start(timers, PAGE_EVERY_MS), lifecycle.start());
      delays.due(next());
    },
    stop() {
      noteAlive(deps);
      clockWatch.note();
      for (const stop of [...stops, delays.stop]) stop();
      ended = relay.stop();
    },
    ended: () => ended,
  };
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
  readonly troubles: Troubles;
  readonly status: Pick<Status, 'turned'>;
};

/** Everything that comes round by the clock, from now on; says first from when to when nobody watched. */
function startTurns(bus: Bus, turns: Turns): (() => void)[] {
  const { deps, world, settings, teller, pulse } = turns;
  const { store, clock, timers, log, timeZone, clockWatch } = deps;
  teller.attach(bus);
  turns.status.turned();
  const down = sayIfDown({ ...deps, world, settings, setByMs: clockWatch.setBeforeMs() });
  if (down) turns.alarmChanged(down);
  const settling = () => {
    const keepRawDays = clockWatch.mayDrop() ? (deps.keepRawDays ?? null) : null;
    return { world, store, timeZone, keepRawDays, nowMs: clock.nowMs() };
  };
  return [
    startSealer({
      context: settling,
      timers,
      log,
      troubles: turns.troubles,
      maySeal: clockWatch.maySeal,
      takeBack: clockWatch.takeBack,
    }),
    turns.findings.start({ timers, log }),
    timers.every(WATCH_EVERY_MS, () => {
      turns.status.turned();
      clockWatch.look();
      turns.watch();
    }),
    ...paces(teller, deps),
    timers.every(NOTE_EVERY_MS, () => {
      noteAlive(deps);
      clockWatch.note();
    }),
    timers.every(PING_EVERY_MS, () => void pulse.turn()),
  ];
}

/** The world as it is on disk, with the patience that alarms had spent when the daemon ended. */
function openWorld({ store, timeZone, clock }: Pick<HouseDeps, 'store' | 'timeZone' | 'clock'>) {
  const world = new World(store, () => clock.nowMs() + MAX_FUTURE_MS);
  const halves = createHalves({ world, store, timeZone });
  world.afterReload = () => readBackPatience({ world, halves, store });
  world.afterReload();
  return { world, halves };
}

function paces(teller: Teller, { timers, emergency }: HouseDeps): (() => void)[] {
  return [
    timers.every(WRITE_AGAIN_EVERY_MS, emergency.turn),
    timers.every(PROVIDE_EVERY_MS, emergency.provide),
    timers.every(PAGE_EVERY_MS, teller.pages),
    timers.every(TOPICS_EVERY_MS, teller.topics),
    timers.every(HEARTBEAT_EVERY_MS, teller.heartbeat),
    timers.every(HOUSE_EVERY_MS, teller.house),
  ];
}

function committed(work: () => Touched, { deps, world }: { deps: HouseDeps; world: World }): Touched {
  try {
    return deps.store.carryOn(work);
  } catch (cause) {
    world.reload();
    const error = cause instanceof Error ? cause.message : String(cause);
    const then = isOfRecord(cause) ? 'was not acknowledged' : 'is tried again one message at a time';
    deps.log.error(`a group of messages could not be stored and ${then}`, { error });
    throw cause;
  }
}
