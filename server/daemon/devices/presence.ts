import type { DevicesAnswer, SecondClient, TurnedAway } from '../../../shared/wire/probes/device.ts';
import { type Comings, LOOKBACK_MS, secondClient, withMoment } from '../../domain/devices/second-client.ts';
import type { Caller, Clock, GatewayWatch, Log } from '../../ports.ts';

/** Most devices whose coming and going is remembered; the one silent for longest gives way. */
export const MAX_DEVICES = 2_000;
/** Most that were turned away are listed, the newest; all are counted. */
export const MAX_TURNED_AWAY = 50;
/** Most addresses named, and most characters kept of what somebody at the door says of itself. */
const MAX_ADDRESSES = 4;
const MAX_SAID = 128;

type Seen = {
  comings: Comings;
  /** connections that log in as it or published for it, with since when, ms since epoch */
  readonly open: Map<Caller, number>;
  readonly spoken: WeakSet<Caller>;
  lastSpeaker: Caller | null;
  addresses: readonly string[];
  seenMs: number | null;
  warnedMs: number | null;
};

/** What is remembered of clients that connect and leave, since the daemon started. */
export type Presence = {
  /** what the embedded broker reports */
  readonly gateway: GatewayWatch;
  /** Its Will said that the device went offline. */
  went(device: string): void;
  of(device: string): {
    readonly connections: readonly { readonly caller: Caller; readonly sinceMs: number }[];
    readonly second: SecondClient | null;
    readonly seenMs: number | null;
  };
  names(): string[];
  turnedAway(): DevicesAnswer['turnedAway'];
};

/** Remembers, bounded, who is connected as which device, who was turned away, and what suggests a second client. */
export function createPresence({ clock, log }: { clock: Clock; log: Log }): Presence {
  const { watch, turnedAway } = turnedAwayList(clock);
  const devices = new Map<string, Seen>();
  const seen = (device: string): Seen => {
    const known = devices.get(device) ?? nothingSeen();
    devices.delete(device);
    devices.set(device, known);
    if (devices.size > MAX_DEVICES) forgetOne(devices);
    return known;
  };
  const note = (device: string, what: keyof Comings) => {
    const known = seen(device);
    known.comings = { ...known.comings, [what]: withMoment(known.comings[what], clock.nowMs()) };
    warn({ device, known, clock, log });
  };
  const open = (caller: Caller, device: string): Seen => {
    const known = seen(device);
    known.seenMs = clock.nowMs();
    if (!known.open.has(caller)) known.open.set(caller, clock.nowMs());
    known.addresses = [...known.addresses.filter((one) => one !== caller.address), caller.address].slice(
      -MAX_ADDRESSES,
    );
    return known;
  };
  return {
    gateway: {
      ...watch,
      came(caller) {
        if (caller.device !== null) open(caller, caller.device);
      },
      left(caller) {
        for (const known of devices.values()) known.open.delete(caller);
      },
      tookOver(before, caller) {
        for (const device of takeovers(before, caller, devices)) note(device, 'tookOverMs');
      },
      spoke(caller, device) {
        const known = open(caller, device);
        const again = known.lastSpeaker !== null && known.lastSpeaker !== caller && known.spoken.has(caller);
        known.spoken.add(caller);
        known.lastSpeaker = caller;
        if (again) note(device, 'alternatedMs');
      },
    },
    went: (device) => note(device, 'wentMs'),
    of(device) {
      const known = devices.get(device);
      if (!known) return { connections: [], second: null, seenMs: null };
      const connections = [...known.open].map(([caller, sinceMs]) => ({ caller, sinceMs }));
      const { addresses, seenMs } = known;
      const second = secondClient(known.comings, clock.nowMs());
      return { connections, seenMs, second: second && { ...second, addresses } };
    },
    names: () => [...devices.keys()],
    turnedAway,
  };
}

function nothingSeen(): Seen {
  const comings = { alternatedMs: [], tookOverMs: [], wentMs: [] };
  return {
    comings,
    open: new Map(),
    spoken: new WeakSet(),
    lastSpeaker: null,
    addresses: [],
    seenMs: null,
    warnedMs: null,
  };
}

function forgetOne(devices: Map<string, Seen>): void {
  for (const [device, { open }] of devices) {
    if (open.size > 0) continue;
    devices.delete(device);
    return;
  }
}

/** The devices that a connection published for when another came under its client id. */
function takeovers(before: Caller, caller: Caller, devices: ReadonlyMap<string, Seen>): string[] {
  const spokenFor = [...devices].filter(([, { open }]) => open.has(before)).map(([device]) => device);
  return caller.device === null ? spokenFor : [...new Set([caller.device, ...spokenFor])];
}

/** Says in the log once, when it begins, that two clients seem to share the name of a device. */
function warn(of: { device: string; known: Seen; clock: Clock; log: Log }): void {
  const { device, known, clock, log } = of;
  const nowMs = clock.nowMs();
  const second = secondClient(known.comings, nowMs);
  if (second === null) return;
  if (known.warnedMs === null || nowMs - known.warnedMs > LOOKBACK_MS) {
    const addresses = known.addresses.join(', ');
    log.warn('a second client seems to speak as a device', { device, kind: second.kind, addresses });
  }
  known.warnedMs = nowMs;
}

function turnedAwayList(clock: Clock) {
  const byWhy: Record<string, number> = {};
  let newest: TurnedAway[] = [];
  const said = (text: string | null) => text?.slice(0, MAX_SAID) ?? null;
  const watch: Pick<GatewayWatch, 'turnedAway'> = {
    turnedAway({ why, caller, name, topic }) {
      byWhy[why] = (byWhy[why] ?? 0) + 1;
      const { clientId, address } = caller;
      const entry = { clientId: clientId.slice(0, MAX_SAID), address, name: said(name), topic: said(topic) };
      newest = [{ at: new Date(clock.nowMs()).toISOString(), why, ...entry }, ...newest].slice(
        0,
        MAX_TURNED_AWAY,
      );
    },
  };
  const total = () => Object.values(byWhy).reduce((sum, n) => sum + n, 0);
  return { watch, turnedAway: () => ({ total: total(), byWhy: { ...byWhy }, newest }) };
}
