import { MAX_FUTURE_MS } from '../../firmware-contracts/v1/limits.ts';
import type { TargetSheet } from '../../shared/model/targets.ts';
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
import { createExchange } from './exchange/exchange.ts';
import { createFindings, type FindingsDesk } from './findings.ts';
import { floodFacts } from './flood-facts.ts';
import { createHalves } from './halves.ts';
import { createHearing } from './hearing/hearing.ts';
import { type Counts, houseFacts } from './house-facts.ts';
import { createInbox } from './inbox.ts';
import { type IngestContext, ingest, type Touched } from './ingest.ts';
import { nextRunsOutMs } from './judge.ts';
import { commit, createOrders } from './orders.ts';
import { createPeopleDesk, type Ways } from './people-desk.ts';
import { createPulse, PING_EVERY_MS, type Ping } from './pulse.ts';
import { createQueries } from './queries.ts';
import { readBackPatience } from './read-back.ts';
import { relayTurnOf } from './relay-turn.ts';
import { startSealer } from './sealer.ts';
import { createStatus, type Status } from './status/status.ts';
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
  /** how late timers run; null where nothing measures it */
  readonly loopDelays?: LoopDelays | null;
  /** version of the runtime */
  readonly node?: string;
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
  readonly status: StatusDesk;
  /** Whether what has had its time may be forgotten: the clock was steady for long enough. */
  mayForget(): boolean;
  start(bus: Bus): void;
  /** Tells pages and topics of a place that was made, changed or removed beside the daemon. */
  placeChanged(placeId: string): void;
  stop(): void;
};

type HouseDeps = DaemonDeps & { readonly writability: Writability; readonly clockWatch: ClockWatch };

/**
 * Ties the rooms together: messages in, committed record, alarms, people and pages told.
 * Effects follow the commit; what cannot be committed is not acknowledged.
 */
export function createDaemon(given: DaemonDeps): Daemon {
  const writability = watchWrites(given);
  const clockWatch = createClockWatch({ ...given, store: writability.store });
  const deps: HouseDeps = { ...given, store: writability.store, writability, clockWatch };
  const { store, clock, timers, log, sheet, timeZone } = deps;
  const webhookSet = deps.ways.houseWay !== null;
  const settings: AnnunciatorSettings = { webhookSet, timeZone, links: deps.links };
  const { world, halves } = openWorld(deps);
  const ears = createHearing({ ...deps, world, commit: (work) => commit({ store, world }, work) });
  const { judgedMs } = clockWatch;
  const ingestContext = { world, store, sheet, settings, halves, mappingOf: ears.mappingOf, judgedMs };
  const counts: Counts = { received: 0, conflicts: 0 };
  const house = () => ({ ...houseFacts(deps, counts), flood: floodFacts(world, clock.nowMs()) });
  const queryContext = { world, store, clock, halves, timeZone, sourceText: deps.sourceText, house };
  const findings = createFindings(queryContext);
  const queries = createQueries(queryContext, findings);
  const teller = createTeller(queryContext, deps.feed);
  const pulse = createPulse({ clock, log, ping: deps.ping ?? null });
  let attached: Bus | null = null;
  const status = createStatus({ ...deps, world, house, bus: () => attached });
  const relayTurn = relayTurnOf(deps, { cameRound: () => pulse.beat('outbox'), failed: status.failed });
  const alarmChanged = (alarmId: string) => {
    teller.alarm(alarmId);
    relayTurn();
  };
  const devices = rememberDevices(deps);
  const turning = { deps, world, settings, teller, findings, pulse, alarmChanged };
  const take = intakeOf({
    ...{ ...turning, ingestContext, counts, ears, devices },
    due: (runsOutMs) => delays.due(runsOutMs),
  });
  const inbox = ears.before(createInbox(take, timers));
  const moving = movingWithClock({ ...deps, world });
  const watching = { world, store, settings, halves, query: queryContext, findings, ...moving };
  const { watch, delays } = watches(watching, {
    ...{ deps, teller, pulse, relayTurn },
    idle: () => inbox.waiting() === 0,
  });
  const ordering = { world, store, clock, settings, placeChanged: teller.place, alarmChanged };
  let stops: (() => void)[] = [];

  return {
    inbox,
    queries,
    exchange: createExchange({ ...ordering, ...queryContext, timers, sheet, exposures: queries.exposures }),
    orders: createOrders(ordering),
    people: createPeopleDesk(ordering, deps.ways),
    checks: createCheckDesk(ordering),
    world,
    findings,
    ...ears.doors,
    devices,
    status,
    mayForget: clockWatch.mayDrop,
    placeChanged: teller.place,
    start(bus) {
      attached = bus;
      stops = startTurns(bus, { ...turning, watch, status });
      stops.push(ears.start(timers, PAGE_EVERY_MS));
      delays.due(nextRunsOutMs(clock.nowMs(), watching));
    },
    stop() {
      noteAlive(deps);
      for (const stop of [...stops, delays.stop]) stop();
    },
  };
}

type Intake = Pick<Turns, 'deps' | 'world' | 'pulse' | 'teller' | 'alarmChanged'> & {
  readonly ingestContext: IngestContext;
  readonly counts: Counts;
  readonly ears: Pick<ReturnType<typeof createHearing>, 'noteMapped'>;
  readonly devices: DeviceMemory;
  readonly due: (runsOutMs: number | null) => void;
};

/** Takes a group of messages into the record, and tells of it once it is committed. */
function intakeOf({ deps, world, ingestContext, counts, teller, ...told }: Intake) {
  return (messages: readonly RawMessage[]): void => {
    deps.clockWatch.look();
    const touched = committed(() => ingest(messages, ingestContext), { deps, world });
    counts.received += touched.stored;
    counts.conflicts += touched.conflicts;
    told.pulse.beat('ingest');
    told.ears.noteMapped(touched.mapped);
    told.devices.deliveries.took(touched);
    for (const placeId of touched.placesMade) teller.place(placeId);
    teller.heard([...touched.placesHeard]);
    for (const alarmId of touched.alarms) told.alarmChanged(alarmId);
    told.due(touched.runsOutMs);
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
    clockWatch.note,
    startSealer({
      context: settling,
      ...{ timers, log },
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
function openWorld({ store, timeZone, clock, clockWatch }: HouseDeps) {
  // what waits in the record moves with the clock before it is read
  clockWatch.begin();
  const world = new World(store, () => clock.nowMs() + MAX_FUTURE_MS);
  const halves = createHalves({ world, store, timeZone });
  world.afterReload = () => readBackPatience({ world, halves, store });
  world.afterReload();
  return { world, halves };
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
