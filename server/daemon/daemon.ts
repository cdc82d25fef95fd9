import type {
  Bus,
  CheckDesk,
  Exchange,
  ForeignDoor,
  Hearing,
  Inbox,
  Orders,
  PeopleDesk,
  Queries,
  StatusDesk,
} from '../ports.ts';
import { movingWithClock } from './clock/follow.ts';
import type { DaemonDeps } from './deps.ts';
import { type DeviceMemory, rememberDevices } from './devices/memory.ts';
import { createPriorities } from './evaluate/priority.ts';
import { watches } from './evaluate/schedule.ts';
import { type Counts, houseFacts } from './house-facts.ts';
import { createHearing } from './intake/foreign-messages/foreign-messages.ts';
import type { Touched } from './intake/touched.ts';
import { openInbox, openLifecycle } from './intake-wiring.ts';
import type { Lifecycle } from './lifecycle/lifecycle.ts';
import { openHouse } from './open-house.ts';
import { createTeller } from './publish/publisher.ts';
import { createLastDays } from './readout/condition.ts';
import { createFindings, type FindingsDesk } from './readout/findings.ts';
import { createQueries } from './readout/queries.ts';
import { openSending } from './sending.ts';
import { createCheckDesk } from './services/checks/service.ts';
import { createExchange, exposuresOfWorld } from './services/exchange/exchange.ts';
import { commit, createOrders } from './services/orders.ts';
import { createPeopleDesk } from './services/people-service.ts';
import { tellTaken } from './taken.ts';
import { PAGE_EVERY_MS, startTurns } from './turns.ts';
import { noteAlive } from './upkeep/downtime.ts';
import type { World } from './world/world.ts';

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

/**
 * Ties the rooms together: messages in, committed record, alarms, people and pages told.
 * Effects follow the commit; what cannot be committed is not acknowledged.
 */
export function createDaemon(given: DaemonDeps): Daemon {
  const { deps, world, halves, troubles, settings } = openHouse(given);
  const { store, clock, timers, sheet, timeZone, sourceText, clockWatch, emergency } = deps;
  const ears = createHearing({ ...deps, world, commit: (work) => commit({ store, world }, work) });
  const { mappingOf } = ears;
  const { judgedMs } = clockWatch;
  const counts: Counts = { received: 0, conflicts: 0 };
  const house = () => houseFacts(deps, { counts, world, lifecycle });
  const lastDays = createLastDays({ world, store, timeZone });
  const query = { world, store, clock, halves, timeZone, sourceText, house, lastDays };
  const priorityOf = createPriorities(query);
  const around = { world, store, settings, halves, troubles, priorityOf };
  const ingestContext = { ...around, sheet, mappingOf, judgedMs };
  const findings = createFindings(query);
  const queries = createQueries(query, findings);
  const teller = createTeller({ ...query, troubles }, deps.feed);
  const { pulse, status, relay, relayTurn, alarmChanged, attach } = openSending(deps, {
    world,
    teller,
    house,
  });
  const devices = rememberDevices(deps);
  const telling = { store, counts, pulse, ears, devices, teller, alarmChanged, troubles };
  const tell = (touched: Touched) => tellTaken(touched, { ...telling, lifecycle, delays });
  const lifecycle = openLifecycle(deps, { ingestContext, teller, alarmChanged, tell });
  const inbox = openInbox(deps, { ingestContext, tell, ears, devices, troubles });
  const heldBackMs = new Map<string, number>();
  const recordTroubles = emergency.troubles;
  const moving = movingWithClock({ ...deps, world });
  const watching = { ...around, query, findings, heldBackMs, recordTroubles, ...moving };
  const idle = () => inbox.waiting() === 0;
  const { watch, delays, next } = watches(watching, { deps, teller, pulse, relayTurn, idle });
  const ordering = { world, store, clock, settings, placeChanged: teller.place, alarmChanged };
  const exposuresIn = exposuresOfWorld(query);
  const turning = { deps, world, settings, teller, findings, pulse, watch, alarmChanged, troubles, status };
  let stops: (() => void)[] = [];
  let ended: Promise<void> = Promise.resolve();

  return {
    inbox,
    queries,
    exchange: createExchange({ ...query, timers, sheet, exposuresIn, placeChanged: teller.place }),
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
      attach(bus);
      stops = startTurns(bus, turning);
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
