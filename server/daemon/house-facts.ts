import type { HouseFacts } from '../../shared/wire/http.ts';
import { horizonMs } from '../domain/room/horizon.ts';
import type { Store } from '../ports.ts';
import type { Ways } from './people-desk.ts';
import type { Writability } from './writable.ts';

type FactsDeps = {
  readonly store: Store;
  readonly edges: () => Pick<HouseFacts, 'version' | 'broker' | 'demo' | 'backup' | 'room'>;
  readonly timeZone: string;
  readonly ways: Pick<Ways, 'houseWay'>;
  readonly writability: Pick<Writability, 'facts'>;
  readonly keepRawDays?: number | null;
};

/** Counted since the start. */
export type Counts = { received: number; conflicts: number };

/** What pages and machines are told of the installation as a whole. */
export function houseFacts(deps: FactsDeps, counts: Counts): HouseFacts {
  const { store, edges, timeZone, ways, writability } = deps;
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
    webhook: { set: ways.houseWay !== null, waiting: count, lastError },
    store: writability.facts(),
  };
}
