import type { PlaceStateName } from '../../../shared/harm/place-state.ts';
import type { HouseFacts } from '../../../shared/wire/http.ts';
import { type AlarmRecord, isActive } from '../../domain/alarms/record.ts';
import { families, type LoopDelay, type Measured } from '../../domain/metrics/families.ts';
import type { Bus, LoopDelays, Measures, NotReady, StatusService, SteadyClock, Store } from '../../ports.ts';
import { clockAnswer } from '../clock/clock-answer.ts';
import type { ClockWatch } from '../clock/clock-watch.ts';
import type { Emergency } from '../emergency/emergency.ts';
import type { World } from '../world/world.ts';

/** Turns that did not come round for so long have stopped, ms: they come every second. */
const STALLED_AFTER_MS = 45_000;

const UNKNOWN_DELAY: LoopDelay = { medianMs: Number.NaN, p99Ms: Number.NaN, maxMs: Number.NaN };

type StatusDeps = {
  readonly world: World;
  readonly store: Pick<Store, 'refusals' | 'outbox' | 'clock'>;
  readonly clock: SteadyClock;
  readonly emergency: Pick<Emergency, 'writable'>;
  readonly clockWatch: Pick<ClockWatch, 'jumps'>;
  readonly house: () => HouseFacts;
  readonly measures: Measures;
  /** how a place does now */
  readonly stateOf: (placeId: string) => PlaceStateName;
  /** null while the daemon is not started */
  readonly bus: () => Pick<Bus, 'connected'> | null;
  /** null where nothing measures it */
  readonly loopDelays?: LoopDelays | null;
  readonly node?: string;
};

export type Status = StatusService & {
  /** A turn of the watch came round. */
  turned(): void;
  /** An attempt to send a message failed. */
  failed(): void;
};

/** What machines ask of the daemon: whether it lives, whether it can take readings, and what it measures. */
export function createStatus(deps: StatusDeps): Status {
  const { clock, emergency, bus } = deps;
  let turnedAtMs: number | null = null;
  let outboxFailures = 0;
  const notReady = (): NotReady[] => {
    const connected = bus()?.connected() ?? null;
    return [
      ...(connected === null ? (['starting'] as const) : []),
      ...(connected === false ? (['broker-away'] as const) : []),
      ...(emergency.writable() ? [] : (['record-not-writable'] as const)),
    ];
  };
  return {
    alive: () => turnedAtMs !== null && clock.elapsedMs() - turnedAtMs < STALLED_AFTER_MS,
    notReady,
    clock: () => clockAnswer(deps),
    metrics: () =>
      deps.measures.text(families(measured(deps, { isReady: notReady().length === 0, outboxFailures }))),
    turned() {
      turnedAtMs = clock.elapsedMs();
    },
    failed() {
      outboxFailures += 1;
    },
  };
}

function measured(
  { world, store, clock, house, clockWatch, loopDelays, node = '', stateOf }: StatusDeps,
  counted: Pick<Measured, 'isReady' | 'outboxFailures'>,
): Measured {
  const { version, readings, room } = house();
  const nowMs = clock.nowMs();
  return {
    ...counted,
    version,
    node,
    readingsAccepted: readings.received,
    conflicts: readings.conflicts,
    refusedByCode: store.refusals.countsByCode(),
    places: [...world.places.keys()].flatMap((placeId) => {
      const newestMs = world.newestMs(placeId);
      return newestMs === 0 ? [] : [{ placeId, newestAgeMs: Math.max(0, nowMs - newestMs) }];
    }),
    alarmsActive: activeByPriority(world.alarms.values()),
    outboxWaiting: store.outbox.waiting().count,
    outboxAgeMs: Math.max(0, nowMs - (store.outbox.oldestWaitingMs() ?? nowMs)),
    probesSilent: silentProbes(world, nowMs),
    placesByState: countedByState([...world.places.keys()].map(stateOf)),
    diskDaysLeft: room.daysLeft,
    databaseBytes: room.databaseBytes,
    freeBytes: room.freeBytes,
    clockIsSteady: clockWatch.jumps().length === 0,
    loopDelay: loopDelays?.() ?? UNKNOWN_DELAY,
  };
}

/** Probes of places that read something once, and nothing for longer than a gap of their place may be. */
function silentProbes(world: World, nowMs: number): number {
  return [...world.places.values()]
    .flatMap(({ id, settings }) => world.probesOf(id).map((probe) => ({ probe, gapMs: settings.maxGapMs })))
    .filter(({ probe, gapMs }) => nowMs - (world.latest.get(probe.id)?.tMs ?? nowMs) > gapMs).length;
}

function countedByState(states: readonly PlaceStateName[]): Record<PlaceStateName, number> {
  const counts: Record<PlaceStateName, number> = { act: 0, watch: 0, ok: 0 };
  for (const state of states) counts[state] += 1;
  return counts;
}

function activeByPriority(alarms: Iterable<AlarmRecord>): Measured['alarmsActive'] {
  const active = { high: 0, medium: 0, low: 0 };
  for (const alarm of alarms) if (isActive(alarm)) active[alarm.priority] += 1;
  return active;
}
