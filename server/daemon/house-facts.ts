import type { HouseFacts } from '../../shared/wire/http.ts';
import { horizonMs } from '../domain/disk-space/horizon.ts';
import type { Clock, Store } from '../ports.ts';
import type { Emergency } from './emergency/emergency.ts';
import type { Lifecycle } from './lifecycle/lifecycle.ts';
import { floodFacts } from './notify/flood-facts.ts';
import type { ContactMethods } from './services/people-service.ts';
import type { World } from './world/world.ts';

type FactsDeps = {
  readonly store: Store;
  readonly edges: () => Pick<HouseFacts, 'version' | 'broker' | 'demo' | 'backup' | 'room' | 'page'>;
  readonly timeZone: string;
  readonly clock: Clock;
  readonly ways: Pick<ContactMethods, 'installationWebhook'>;
  readonly emergency: Pick<Emergency, 'facts'>;
  readonly keepRawDays?: number | null;
};

/** Counted since the start. */
export type Counts = { received: number; conflicts: number };

type FactsOf = {
  readonly counts: Counts;
  readonly world: World;
  readonly lifecycle: Pick<Lifecycle, 'facts'>;
};

/** What pages and machines are shown of the installation as a whole. */
export function houseFacts(deps: FactsDeps, { counts, world, lifecycle }: FactsOf): HouseFacts {
  const { store, edges, timeZone, ways: methods, emergency } = deps;
  const refused = Object.values(store.refusals.countsByCode()).reduce((sum, n) => sum + n, 0);
  const { count, lastError } = store.outbox.waiting();
  const { readingsFromMs } = horizonMs(store.horizon.get());
  const from = Number.isFinite(readingsFromMs) ? new Date(readingsFromMs).toISOString() : null;
  const known = edges();
  return {
    ...known,
    room: { ...known.room, readings: { keepDays: deps.keepRawDays ?? null, from } },
    timeZone,
    readings: { received: counts.received, refused, conflicts: counts.conflicts },
    webhook: { set: methods.installationWebhook !== null, waiting: count, lastError },
    store: emergency.facts(),
    flood: floodFacts(world, deps.clock.nowMs()),
    ...lifecycle.facts(),
  };
}
