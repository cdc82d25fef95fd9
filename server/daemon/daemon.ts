import type {
  BatchService,
  Bus,
  CheckService,
  CuttingsExchange,
  DiaryService,
  Exchange,
  ForeignGateway,
  ForeignMessages,
  Inbox,
  Orders,
  PeopleService,
  Queries,
  SheetService,
  StatusService,
} from '../ports.ts';
import { announceGroup } from './announce.ts';
import { movingWithClock } from './clock/follow.ts';
import type { DaemonDeps } from './deps.ts';
import { type DeviceMemory, rememberDevices } from './devices/memory.ts';
import { startDiaryUpkeep } from './diary/upkeep.ts';
import { createPriorities } from './evaluate/priority.ts';
import { watches } from './evaluate/schedule.ts';
import { createForecasts, type ForecastService } from './forecast/forecasts.ts';
import { guarded } from './guard/guard.ts';
import { type Counts, houseFacts } from './house-facts.ts';
import { createForeignMessages } from './intake/foreign-messages/foreign-messages.ts';
import type { Touched } from './intake/touched.ts';
import { openInbox, openLifecycle } from './intake-wiring.ts';
import type { Lifecycle } from './lifecycle/lifecycle.ts';
import { harmSaid, openHouse } from './open-house.ts';
import { openServices } from './open-services.ts';
import { createPublisher } from './publish/publisher.ts';
import { createLastDays } from './readout/condition.ts';
import { createFindings, type FindingsService } from './readout/findings.ts';
import { createQueries } from './readout/queries.ts';
import { openSending } from './sending.ts';
import { commit } from './services/orders.ts';
import { PAGE_EVERY_MS, startTurns } from './turns.ts';
import { noteRunning } from './upkeep/downtime.ts';
import type { World } from './world/world.ts';

export type Daemon = {
  readonly inbox: Inbox;
  readonly queries: Queries;
  readonly orders: Omit<Orders, 'startDemo' | 'removeDemo'>;
  readonly people: PeopleService;
  readonly checks: CheckService;
  readonly batches: BatchService;
  readonly sheets: SheetService;
  readonly diary: DiaryService;
  readonly cuttings: CuttingsExchange;
  readonly world: World;
  readonly exchange: Exchange;
  readonly findings: FindingsService;
  readonly forecasts: ForecastService;
  readonly foreignMessages: ForeignMessages;
  readonly foreign: ForeignGateway;
  readonly devices: DeviceMemory;
  readonly waiting: Lifecycle['waiting'];
  readonly archive: Lifecycle['archive'];
  readonly status: StatusService;
  /** The parts without which nobody is woken that do not come round, by name; none: all do. */
  dead(): readonly string[];
  /** Whether what has had its time may be forgotten: the clock was steady for long enough. */
  mayForget(): boolean;
  start(bus: Bus): void;
  /** Notifies pages and topics of a place that was made, changed or removed beside the daemon. */
  placeChanged(placeId: string): void;
  /** Notifies pages and topics of an alarm that was changed beside the daemon. */
  alarmChanged(alarmId: string): void;
  stop(): void;
  /** Settles once the messages that were under way at the stop have ended, or were broken off. */
  ended(): Promise<void>;
};

/**
 * Ties the rooms together: messages in, committed record, alarms, people and pages notified.
 * Effects follow the commit; what cannot be committed is not acknowledged.
 */
export function createDaemon(given: DaemonDeps): Daemon {
  const { deps, world, dayNight, troubles, settings: addressed } = openHouse(given);
  const { store, clock, timers, targetSheet, timeZone, sourceText, clockWatch, emergency } = deps;
  const foreign = createForeignMessages({ ...deps, world, commit: (work) => commit({ store, world }, work) });
  const counts: Counts = { received: 0, conflicts: 0 };
  const house = () => houseFacts(deps, { counts, world, lifecycle });
  const lastDays = createLastDays({ world, store, timeZone });
  const query = { world, store, clock, dayNight, timeZone, sourceText, house, lastDays };
  const priorityOf = createPriorities(query);
  const nightSaid = () =>
    guarded('the night of the morning sheet', () => night(null), { troubles, otherwise: null });
  const settings = { ...addressed, ...harmSaid(query, troubles), night: nightSaid };
  const around = { world, store, settings, dayNight, troubles, priorityOf };
  const ingestContext = { ...around, targetSheet, mappingOf: foreign.mappingOf, judgedMs: clockWatch.judgedMs };
  const findings = createFindings(query);
  const forecasts = createForecasts(query);
  const queries = createQueries(query, findings, forecasts);
  const publisher = createPublisher({ ...query, timers, troubles }, deps.feed);
  const sending = { world, publisher, house, stateOf: (id: string) => queries.now(id).state };
  const { liveness, status, relay, relayTurn, alarmChanged, attach } = openSending(deps, sending);
  const devices = rememberDevices(deps);
  const announcing = { store, counts, liveness, foreign, devices, publisher, alarmChanged, troubles };
  const announce = (touched: Touched) => announceGroup(touched, { ...announcing, lifecycle, delays });
  const lifecycle = openLifecycle(deps, { ingestContext, publisher, alarmChanged, announce });
  const inbox = openInbox(deps, { ingestContext, announce, foreign, devices, troubles });
  const heldBackMs = new Map<string, number>();
  const moving = movingWithClock({ ...deps, world });
  const watching = { ...around, query, findings, forecasts, heldBackMs, recordTroubles: emergency.troubles, ...moving };
  const turning = { deps, publisher, liveness, relayTurn, idle: () => inbox.waiting() === 0 };
  const { watch, delays, next } = watches(watching, turning);
  const ordering = { world, store, clock, settings, placeChanged: publisher.place, alarmChanged };
  const turns = { ...around, deps, publisher, findings, forecasts, liveness, watch, alarmChanged, status };
  const opening = { query, ordering, timers, findings, deps };
  const { night, nightInParts, advice, ...services } = openServices(opening);
  let stops: (() => void)[] = [];
  let ended: Promise<void> = Promise.resolve();

  return {
    inbox,
    queries: { ...queries, ...advice, night, nightInParts },
    ...services,
    world,
    findings,
    forecasts,
    ...foreign.services,
    devices,
    waiting: lifecycle.waiting,
    archive: lifecycle.archive,
    status,
    dead: liveness.dead,
    mayForget: clockWatch.mayDrop,
    placeChanged: publisher.place,
    alarmChanged,
    start(bus) {
      attach(bus);
      stops = startTurns(bus, turns);
      stops.push(foreign.start(timers, PAGE_EVERY_MS), lifecycle.start());
      stops.push(startDiaryUpkeep({ ...deps, mayForget: clockWatch.mayDrop }));
      delays.due(next());
    },
    stop() {
      noteRunning(deps);
      clockWatch.note();
      for (const stop of [...stops, delays.stop]) stop();
      ended = relay.stop();
    },
    ended: () => ended,
  };
}
