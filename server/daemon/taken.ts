import { Fault } from '../../shared/faults.ts';
import { refusedDelivery } from '../domain/devices/delivery.ts';
import type { RawMessage, Store } from '../ports.ts';
import type { DeviceMemory } from './devices/memory.ts';
import { guarded } from './guard/guard.ts';
import type { createPulse } from './guard/liveness.ts';
import { setAside } from './guard/set-aside.ts';
import type { Troubles } from './guard/troubles.ts';
import type { createHearing } from './intake/foreign-messages/foreign-messages.ts';
import type { Touched } from './intake/touched.ts';
import type { Lifecycle } from './lifecycle/lifecycle.ts';
import type { Teller } from './publish/publisher.ts';

export type TakenDeps = {
  readonly store: Store;
  readonly counts: { received: number; conflicts: number };
  readonly pulse: ReturnType<typeof createPulse>;
  readonly ears: ReturnType<typeof createHearing>;
  readonly devices: DeviceMemory;
  readonly lifecycle: Lifecycle;
  readonly teller: Teller;
  readonly alarmChanged: (alarmId: string) => void;
  readonly delays: { due(runsOutMs: number | null): void };
  readonly troubles: Troubles;
};

/** What follows a commit: it cannot take the commit back, and one part must not keep the others from theirs. */
export function tellTaken(touched: Touched, told: TakenDeps): void {
  const { store, counts, pulse, ears, devices, lifecycle, teller, alarmChanged, delays, troubles } = told;
  if (store.lasting()) counts.received += touched.stored;
  if (store.lasting()) counts.conflicts += touched.conflicts;
  pulse.beat('ingest');
  const parts: readonly (readonly [string, () => void])[] = [
    ['counts of mappings', () => ears.noteMapped(touched.mapped)],
    ['counts of devices', () => devices.deliveries.took(touched)],
    ['what waiting devices left out', () => lifecycle.noteLeftOut(touched.leftOut)],
    ['pages of new places', () => touched.placesMade.forEach(teller.place)],
    ['pages of places', () => teller.heard([...touched.placesHeard])],
    ['messages of alarms', () => touched.alarms.forEach(alarmChanged)],
    ['when alarms are due', () => delays.due(touched.runsOutMs)],
  ];
  for (const [what, tell] of parts) guarded(what, tell, { troubles, otherwise: undefined });
}

type AsideDeps = Pick<TakenDeps, 'store' | 'troubles' | 'ears' | 'devices'>;

/** Keeps a message that cannot be taken by itself, and counts it with its device and its mapping. */
export function tellAside(message: RawMessage, cause: unknown, deps: AsideDeps): void {
  const { store, troubles, ears, devices } = deps;
  const { device, topic, code, atMs } = setAside(message, cause, { store, troubles });
  const mapping = ears.mappingOf(message.topic);
  if (mapping) ears.noteMapped([{ id: mapping.id, topic, atMs, code, stored: 0 }]);
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
