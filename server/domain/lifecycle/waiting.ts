/** Most devices that wait, and most that are remembered as ignored. */
export const MAX_WAITING_DEVICES = 50;
export const MAX_IGNORED_DEVICES = 500;
/** What is kept of one device: a pack a minute for three days, and their bytes; and of all devices together. */
export const MAX_WAITING_PACKS = 5_000;
export const MAX_WAITING_BYTES = 2 * 1024 * 1024;
export const MAX_WAITING_BYTES_IN_ALL = 16 * 1024 * 1024;

/** A device that nobody accepted yet, or that somebody ignored; times in ms since epoch, counts are packs. */
export type WaitingDevice = {
  readonly device: string;
  readonly state: 'waiting' | 'ignored';
  readonly firstMs: number;
  readonly lastMs: number;
  readonly received: number;
  readonly packs: number;
  readonly bytes: number;
  readonly dropped: number;
  readonly decidedMs: number | null;
  readonly decidedBy: string | null;
};

export type WaitingEvent =
  /** it sent a pack that could be stored */
  | { readonly kind: 'pack'; readonly device: string; readonly bytes: number; readonly atMs: number }
  | {
      readonly kind: 'ignore';
      readonly device: string;
      readonly atMs: number;
      readonly by: string | null;
    }
  | { readonly kind: 'unignore'; readonly device: string }
  /** its packs were handed over, or are to be forgotten */
  | { readonly kind: 'leave'; readonly device: string };

type WaitingEffect =
  | { readonly kind: 'save'; readonly device: WaitingDevice }
  /** keep the pack that came */
  | { readonly kind: 'keep'; readonly device: string }
  /** drop the oldest packs of a device until it holds no more than this */
  | { readonly kind: 'trim'; readonly device: string; readonly packs: number; readonly bytes: number }
  /** forget the device with its packs; so many of them count as dropped */
  | { readonly kind: 'forget'; readonly device: string; readonly dropped: number }
  /** the list is full: the pack is refused */
  | { readonly kind: 'turn-away' };

/**
 * The list of devices that wait, moved by one event.
 * @param devices all that wait or are ignored
 * @returns what to do, in this order; nothing for an event about a device that is not on the list
 */
export function waitingStep(devices: readonly WaitingDevice[], event: WaitingEvent): WaitingEffect[] {
  const known = devices.find(({ device }) => device === event.device);
  if (event.kind === 'pack') return known ? again(known, event, devices) : came(event, devices);
  if (!known) return [];
  switch (event.kind) {
    case 'ignore':
      return ignored(known, event, devices);
    case 'unignore':
      return unignored(known, devices);
    case 'leave':
      return [{ kind: 'forget', device: known.device, dropped: 0 }];
  }
}

type Pack = Extract<WaitingEvent, { kind: 'pack' }>;

function came(pack: Pack, devices: readonly WaitingDevice[]): WaitingEffect[] {
  if (waitingOf(devices).length >= MAX_WAITING_DEVICES) return [{ kind: 'turn-away' }];
  const { device, bytes, atMs } = pack;
  const fresh: WaitingDevice = {
    device,
    state: 'waiting',
    firstMs: atMs,
    lastMs: atMs,
    received: 1,
    packs: 1,
    bytes,
    dropped: 0,
    decidedMs: null,
    decidedBy: null,
  };
  return kept(fresh, [...devices, fresh]);
}

function again(known: WaitingDevice, { atMs, bytes }: Pack, devices: readonly WaitingDevice[]) {
  const counted = { ...known, lastMs: Math.max(known.lastMs, atMs), received: known.received + 1 };
  if (known.state === 'ignored')
    return [{ kind: 'save', device: { ...counted, dropped: known.dropped + 1 } } as const];
  const fuller = { ...counted, packs: known.packs + 1, bytes: known.bytes + bytes };
  return kept(
    fuller,
    devices.map((one) => (one === known ? fuller : one)),
  );
}

/** Keeps the pack that came, and makes room for it. */
function kept(device: WaitingDevice, devices: readonly WaitingDevice[]): WaitingEffect[] {
  const { packs, bytes } = device;
  const own = packs > MAX_WAITING_PACKS || bytes > MAX_WAITING_BYTES;
  const trim = own ? [trimmed(device, MAX_WAITING_BYTES)] : trimmedInAll(devices);
  return [{ kind: 'save', device }, { kind: 'keep', device: device.device }, ...trim];
}

function trimmed({ device }: WaitingDevice, bytes: number): WaitingEffect {
  return { kind: 'trim', device, packs: MAX_WAITING_PACKS, bytes };
}

/** Beyond what is kept in all, the largest gives way, and ignored ones before those that wait. */
function trimmedInAll(devices: readonly WaitingDevice[]): WaitingEffect[] {
  const excess = devices.reduce((sum, { bytes }) => sum + bytes, 0) - MAX_WAITING_BYTES_IN_ALL;
  if (excess <= 0) return [];
  const ignoredWithPacks = devices.filter(({ state, bytes }) => state === 'ignored' && bytes > 0);
  const [largest] = (ignoredWithPacks.length > 0 ? ignoredWithPacks : [...devices]).sort(
    (a, b) => b.bytes - a.bytes,
  );
  return largest ? [trimmed(largest, Math.max(0, largest.bytes - excess))] : [];
}

function ignored(
  known: WaitingDevice,
  { atMs, by }: Extract<WaitingEvent, { kind: 'ignore' }>,
  devices: readonly WaitingDevice[],
): WaitingEffect[] {
  if (known.state === 'ignored') return [];
  const others = devices.filter(({ state }) => state === 'ignored');
  const [oldest] = others.toSorted((a, b) => (a.decidedMs ?? 0) - (b.decidedMs ?? 0));
  const full = others.length >= MAX_IGNORED_DEVICES && oldest;
  const forget = full ? [{ kind: 'forget', device: oldest.device, dropped: oldest.packs } as const] : [];
  return [
    ...forget,
    { kind: 'save', device: { ...known, state: 'ignored', decidedMs: atMs, decidedBy: by } },
  ];
}

function unignored(known: WaitingDevice, devices: readonly WaitingDevice[]): WaitingEffect[] {
  if (known.state === 'waiting') return [];
  if (waitingOf(devices).length >= MAX_WAITING_DEVICES) return [{ kind: 'turn-away' }];
  return [{ kind: 'save', device: { ...known, state: 'waiting', decidedMs: null, decidedBy: null } }];
}

function waitingOf(devices: readonly WaitingDevice[]): WaitingDevice[] {
  return devices.filter(({ state }) => state === 'waiting');
}
