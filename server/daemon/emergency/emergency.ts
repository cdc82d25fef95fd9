import type { HouseFacts } from '../../../shared/wire/http.ts';
import type { Clock, Log, RecordStore, Reserve, Store, Timers } from '../../ports.ts';
import type { Trouble } from '../notify/installation-alarm.ts';
import type { InMemory } from './in-memory.ts';
import { type OpenAgain, reopened } from './reopened.ts';
import { createStandBy, type StandBy } from './stand-by.ts';
import { switchedParts } from './switched-store.ts';

export type EmergencyDeps = {
  readonly record: RecordStore;
  /** given where the record cannot be written at the start: why, and how it is opened again unless it is so already */
  readonly atStart?: { readonly why: string; readonly again: OpenAgain | null } | null;
  readonly reserve?: Reserve | null;
  readonly clock: Clock;
  readonly timers: Timers;
  readonly log: Log;
};

export type Emergency = ReturnType<typeof openEmergency>;

/**
 * Watches whether the record accepts what is written. While it does not, the same functions run over a store in memory:
 * readings are judged and people are called, and nothing is acknowledged. Once it can be written again, what happened
 * meanwhile is written into it in one transaction.
 */
export function openEmergency(deps: EmergencyDeps) {
  const { reserve = null } = deps;
  const { record, openAgain } = reopened(deps.record, deps.atStart?.again ?? null);
  const memory = createStandBy({ ...deps, record });
  const store = switchedStore({ record, memory });
  if (deps.atStart) memory.enter(deps.atStart.why);

  return {
    store,
    refused: (cause: unknown) => void memory.refused(cause),
    writable: () => memory.now() === null,
    facts: (): HouseFacts['store'] => ({
      writable: memory.now() === null,
      since: sinceOf(memory.now()),
      ...(reserve === null ? {} : { reserveBytes: reserve.facts().bytes }),
    }),
    /** What there is to say of it in an alarm. */
    troubles: (): Trouble[] => {
      const trouble = memory.now()?.trouble();
      return trouble ? [trouble] : [];
    },
    onEnter: memory.onEnter,
    onChange: memory.onChange,
    provide: () => record().provide(),
    /** Tries the record again while it is known to refuse; holds space back while it is not. */
    turn() {
      if (memory.now() === null) return void reserve?.restore();
      if (!openAgain() || !memory.carry() || !memory.waited()) return;
      if (reserve === null || reserve.restore()) memory.leave();
    },
  };
}

function sinceOf(memory: InMemory | null): string | null {
  return memory === null ? null : new Date(memory.sinceMs).toISOString();
}

type Switched = { readonly record: () => RecordStore; readonly memory: Pick<StandBy, 'now' | 'refused'> };

/** The store that everybody uses: the record, or what stands in for it. */
function switchedStore({ record, memory }: Switched): Store {
  const current = (): Store => memory.now()?.store ?? record();
  return {
    ...switchedParts(current),
    transaction(work) {
      const held = memory.now();
      if (held !== null) return held.store.transaction(work);
      try {
        return record().transaction(work);
      } catch (cause) {
        memory.refused(cause);
        throw cause;
      }
    },
    carryOn(work) {
      if (memory.now() === null) {
        try {
          return record().transaction(work);
        } catch (cause) {
          if (!memory.refused(cause)) throw cause;
        }
      }
      return current().carryOn(work);
    },
    lasting: () => memory.now() === null,
    touch: () => record().touch(),
    close: () => record().close(),
  };
}
