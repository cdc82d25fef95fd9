import { Fault } from '../../../shared/faults.ts';
import type { AcceptedDevice, WaitingAnswer, WaitingDeviceView } from '../../../shared/wire/lifecycle.ts';
import {
  MAX_WAITING_BYTES,
  MAX_WAITING_BYTES_IN_ALL,
  MAX_WAITING_DEVICES,
  MAX_WAITING_PACKS,
  type WaitingDevice,
  type WaitingEvent,
} from '../../domain/lifecycle/waiting.ts';
import type { Clock, Log, RawMessage, Store, WaitingService } from '../../ports.ts';
import { moveWaiting } from '../admission/keep-waiting.ts';
import type { Touched } from '../intake/touched.ts';
import { commit } from '../services/orders.ts';
import type { World } from '../world/world.ts';

type WaitingContext = {
  readonly world: World;
  readonly store: Store;
  readonly clock: Clock;
  readonly log: Log;
  /** stores packs of a device that is accepted, inside the caller's transaction */
  readonly takeIn: (packs: readonly RawMessage[], device: string) => Touched;
  /** notifies pages and topics what was stored, after the commit */
  readonly announce: (touched: Touched) => void;
  /** puts back what the archive holds of a device, inside the caller's transaction; gives the ids of its places */
  readonly putBack: (device: string) => readonly string[];
  readonly placeChanged: (placeId: string) => void;
  readonly changed: () => void;
};

/** Devices that wait until somebody accepts them. */
export function createWaitingService(context: WaitingContext): WaitingService {
  const { store, clock } = context;
  const move = (event: WaitingEvent) => {
    requireDevice(event.device, context);
    const fits = commit(context, () => moveWaiting(event, store));
    if (!fits) throw listFull();
    context.changed();
  };
  return {
    answer: () => answerOf(context),
    accept: (device) => accept(requireDevice(device, context), context),
    acceptIfWaiting(device) {
      const waiting = store.waiting.devices().find((one) => one.device === device);
      if (!waiting) return;
      try {
        accept(waiting, context);
      } catch (cause) {
        // it keeps waiting, and can be accepted by hand
        if (!(cause instanceof Fault)) throw cause;
        context.log.warn('what a device sent while it waited was not stored', {
          device,
          error: cause.message,
        });
      }
    },
    ignore: (device, { by = null } = {}) => move({ kind: 'ignore', device, atMs: clock.nowMs(), by }),
    unignore: (device) => move({ kind: 'unignore', device }),
  };
}

function accept({ device, dropped }: WaitingDevice, context: WaitingContext): AcceptedDevice {
  const { store } = context;
  const { places, touched } = commit(context, () => {
    const restored = context.putBack(device);
    const accepted = context.takeIn(store.waiting.packs(device), device);
    moveWaiting({ kind: 'leave', device }, store);
    if (dropped > 0) store.waiting.count({ dropped, turnedAway: 0 });
    return { places: restored, touched: accepted };
  });
  for (const placeId of places) context.placeChanged(placeId);
  context.announce(touched);
  context.changed();
  return { device, stored: touched.stored, refused: touched.refused, dropped };
}

function answerOf({ store, world }: WaitingContext): WaitingAnswer {
  const views = store.waiting.devices().map((device) => viewOf(device, world));
  return {
    waiting: views.filter(({ state }) => state === 'waiting'),
    ignored: views.filter(({ state }) => state === 'ignored'),
    limits: {
      devices: MAX_WAITING_DEVICES,
      packsPerDevice: MAX_WAITING_PACKS,
      bytesPerDevice: MAX_WAITING_BYTES,
      bytesInAll: MAX_WAITING_BYTES_IN_ALL,
    },
    ...store.waiting.totals(),
  };
}

function viewOf(waiting: WaitingDevice, { archived }: World): WaitingDeviceView {
  const { device, state, firstMs, lastMs, received, packs, bytes, dropped, decidedMs, decidedBy } = waiting;
  return {
    device,
    state,
    since: new Date(firstMs).toISOString(),
    lastAt: new Date(lastMs).toISOString(),
    received,
    kept: packs,
    bytes,
    dropped,
    decidedAt: decidedMs === null ? null : new Date(decidedMs).toISOString(),
    decidedBy,
    archived: archived.itemsOf(device).length > 0,
  };
}

function requireDevice(device: string, { store }: Pick<WaitingContext, 'store'>): WaitingDevice {
  const found = store.waiting.devices().find((one) => one.device === device);
  if (found) return found;
  const message = `No device "${device.slice(0, 64)}" waits; GET /api/v1/waiting lists them.`;
  throw new Fault({ code: 'not-found', message });
}

function listFull(): Fault {
  const message = `${MAX_WAITING_DEVICES} devices wait already: accept or ignore one of them first.`;
  return new Fault({ code: 'bad-request', message, details: { maximum: MAX_WAITING_DEVICES } });
}
