import { Fault } from '../../shared/faults.ts';
import { refusedDelivery } from '../domain/devices/delivery.ts';
import type { RawMessage, Store } from '../ports.ts';
import type { DeviceMemory } from './devices/memory.ts';
import { guarded } from './guard/guard.ts';
import type { createLiveness } from './guard/liveness.ts';
import { setAside } from './guard/set-aside.ts';
import type { Troubles } from './guard/troubles.ts';
import type { createForeignMessages } from './intake/foreign-messages/foreign-messages.ts';
import type { Touched } from './intake/touched.ts';
import type { Lifecycle } from './lifecycle/lifecycle.ts';
import type { Publisher } from './publish/publisher.ts';

export type AnnounceDeps = {
  readonly store: Store;
  readonly counts: { received: number; conflicts: number };
  readonly liveness: ReturnType<typeof createLiveness>;
  readonly foreign: ReturnType<typeof createForeignMessages>;
  readonly devices: DeviceMemory;
  readonly lifecycle: Lifecycle;
  readonly publisher: Publisher;
  readonly alarmChanged: (alarmId: string) => void;
  readonly delays: { due(dueAtMs: number | null): void };
  readonly troubles: Troubles;
};

/** What follows a commit: it cannot take the commit back, and one part must not keep the others from theirs. */
export function announceGroup(touched: Touched, context: AnnounceDeps): void {
  const { store, counts, liveness, foreign, devices, lifecycle, publisher, alarmChanged, delays, troubles } =
    context;
  if (store.lasting()) counts.received += touched.stored;
  if (store.lasting()) counts.conflicts += touched.conflicts;
  liveness.beat('ingest');
  const parts: readonly (readonly [string, () => void])[] = [
    ['counts of mappings', () => foreign.noteMapped(touched.mapped)],
    ['counts of devices', () => devices.deliveries.took(touched)],
    ['what waiting devices left out', () => lifecycle.noteLeftOut(touched.leftOut)],
    ['pages of new places', () => touched.placesMade.forEach(publisher.place)],
    ['pages of places', () => publisher.placesReporting([...touched.placesReporting])],
    ['messages of alarms', () => touched.alarms.forEach(alarmChanged)],
    ['when alarms are due', () => delays.due(touched.dueAtMs)],
  ];
  for (const [what, announce] of parts) guarded(what, announce, { troubles, otherwise: undefined });
}

type AsideDeps = Pick<AnnounceDeps, 'store' | 'troubles' | 'foreign' | 'devices'>;

/** Keeps a message that cannot be stored by itself, and counts it with its device and its mapping. */
export function noteSetAside(message: RawMessage, cause: unknown, deps: AsideDeps): void {
  const { store, troubles, foreign, devices } = deps;
  const { device, topic, code, atMs } = setAside(message, cause, { store, troubles });
  const mapping = foreign.mappingOf(message.topic);
  if (mapping) foreign.noteMapped([{ id: mapping.id, topic, atMs, code, stored: 0 }]);
  if (device === null) return;
  devices.deliveries.took({ deliveries: [refusedDelivery(device, atMs)], statuses: [] });
}

/**
 * What was judged in memory alone must not be acknowledged.
 * @throws Fault `store-failed`
 */
export function requireLasting({ deliveries, mapped, refused, repeats }: Touched, store: Store): void {
  if (store.lasting() || deliveries.length + mapped.length + refused + repeats === 0) return;
  const message = 'The record cannot be written: what came was judged, and has to come again.';
  throw new Fault({ code: 'store-failed', message });
}
