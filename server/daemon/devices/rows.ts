import type { Probe } from '../../../shared/model/probes/probe.ts';
import type { DeviceRow } from '../../../shared/wire/probes/device.ts';
import { clockAheadMs } from '../../domain/devices/delivery.ts';
import { lossesIn } from '../../domain/devices/losses.ts';
import type { Clock, KeptDevice, Store } from '../../ports.ts';
import type { World } from '../world/world.ts';
import type { Deliveries } from './deliveries.ts';
import type { Presence } from './presence.ts';

const DAY_MS = 86_400_000;
/** What is missing of the last day is counted again after so long, ms, and of so many devices a question. */
const LOSSES_EVERY_MS = 5 * 60_000;
const CHECKS_A_QUESTION = 10;
/** Most devices listed: those with a login of their own first, then by name. */
export const MAX_LISTED = 1_000;

export type RowDeps = {
  readonly world: World;
  readonly store: Pick<Store, 'journal' | 'waiting'>;
  readonly clock: Clock;
  readonly presence: Presence;
  readonly deliveries: Deliveries;
};

/** Lists the devices that have a login of their own, sent something, or have probes. */
export function createRows(deps: RowDeps): (kept: readonly KeptDevice[]) => DeviceRow[] {
  const { world, store, presence, deliveries } = deps;
  const lossesOf = createLosses(deps);
  return (kept) => {
    const byDevice = Map.groupBy(world.probes.values(), ({ device }) => device);
    const own = new Map(kept.map((device) => [device.name, device]));
    const others = [...byDevice.keys(), ...deliveries.names(), ...presence.names()].toSorted();
    // those that wait stand in a list of their own
    const waiting = new Set(store.waiting.devices().map(({ device }) => device));
    const listed = others.filter((device) => byDevice.has(device) || !waiting.has(device));
    const names = [...new Set([...own.keys(), ...listed])].slice(0, MAX_LISTED);
    const budget = { left: CHECKS_A_QUESTION };
    return names.map((device) => {
      const probes = byDevice.get(device) ?? [];
      const lost = lossesOf(device, probes, budget);
      return { ...factsOf({ device, probes }, deps), login: loginOf(own.get(device)), lost };
    });
  };
}

type Of = { readonly device: string; readonly probes: readonly Probe[] };

function factsOf({ device, probes }: Of, deps: RowDeps): Omit<DeviceRow, 'login' | 'lost'> {
  const { world, presence, deliveries } = deps;
  const { connections, second, seenMs } = presence.of(device);
  const [tally, status] = [deliveries.tally(device), deliveries.status(device)];
  const latest = probes.flatMap((probe) => world.latest.get(probe.id) ?? []);
  const times = [tally?.lastMs, seenMs, status?.retainedCopy === false ? status.atMs : null];
  const fromRecord = latest.map(({ tMs }) => tMs);
  const cadences = latest.flatMap(({ cadenceMs }) => cadenceMs ?? []);
  const battery = probes.find(({ quantity }) => quantity === 'battery/level');
  const ahead = tally && clockAheadMs(tally);
  return {
    device,
    probes: probes.length,
    ...(isArchived({ device, probes }, world) ? { archived: true } : {}),
    places: [...new Set(probes.flatMap(({ placeId }) => placeId ?? []))],
    seenAt: isoOrNull(newest(times) ?? newest(fromRecord)),
    connections: connections.map(({ caller, sinceMs }) => ({
      clientId: caller.clientId,
      address: caller.address,
      since: new Date(sinceMs).toISOString(),
    })),
    second,
    status: status && {
      state: status.state,
      at: new Date(status.atMs).toISOString(),
      signalDbm: status.signalDbm,
      dropped: status.dropped,
      firmware: status.firmware,
    },
    batteryPct: battery ? (world.latest.get(battery.id)?.value ?? null) : null,
    clockAheadS: ahead === null ? null : Math.round(ahead / 100) / 10,
    cadenceS: cadences.length === 0 ? null : Math.round(Math.min(...cadences) / 1000),
    packs: tally?.packs ?? 0,
    readings: tally?.readings ?? 0,
    repeats: tally?.repeats ?? 0,
    conflicts: tally?.conflicts ?? 0,
    refused: tally?.refused ?? 0,
  };
}

function loginOf(kept: KeptDevice | undefined): DeviceRow['login'] {
  if (!kept) return null;
  const [createdAt, secretAt, stateAt] = [kept.createdMs, kept.secretMs, kept.stateMs].map((ms) =>
    new Date(ms).toISOString(),
  ) as [string, string, string];
  return { state: kept.state, createdAt, secretAt, stateAt };
}

type Lost = DeviceRow['lost'];

/** Counts what is missing of the last day, remembered for some minutes: a day of many devices is much to read. */
function createLosses({ store, clock }: RowDeps) {
  const known = new Map<string, { readonly atMs: number; readonly lost: Lost }>();
  const countLost = (probes: readonly Probe[], nowMs: number): Lost => {
    const span = { fromMs: nowMs - DAY_MS, toMs: nowMs };
    const windows = store.journal.window({ probeIds: probes.map(({ id }) => id), ...span });
    const busiest = windows.reduce<Float64Array | null>(
      (most, { timesMs }) => (most !== null && most.length >= timesMs.length ? most : timesMs),
      null,
    );
    const losses = busiest && lossesIn(busiest);
    if (losses === null) return null;
    const { missing, expected, everyMs, longestGapMs } = losses;
    return { missing, expected, everyS: everyMs / 1000, longestGapS: longestGapMs / 1000 };
  };
  return (device: string, probes: readonly Probe[], budget: { left: number }): Lost => {
    const before = known.get(device);
    const nowMs = clock.nowMs();
    const isDue = before === undefined || nowMs - before.atMs >= LOSSES_EVERY_MS;
    if (probes.length === 0 || !isDue || budget.left === 0) return before?.lost ?? null;
    budget.left -= 1;
    const lost = countLost(probes, nowMs);
    if (known.size >= MAX_LISTED) known.clear();
    known.set(device, { atMs: nowMs, lost });
    return lost;
  };
}

/** Whether all that is known of a device went to the archive: then what it sends is not stored. */
function isArchived({ device, probes }: Of, { archived }: World): boolean {
  return probes.length === 0 && archived.itemsOf(device).length > 0;
}

function newest(times: readonly (number | null | undefined)[]): number | null {
  const given = times.filter((time) => typeof time === 'number');
  return given.length === 0 ? null : Math.max(...given);
}

function isoOrNull(ms: number | null): string | null {
  return ms === null ? null : new Date(ms).toISOString();
}
