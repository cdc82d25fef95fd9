import { Fault } from '../../../shared/faults.ts';
import type { Log, RecordStore, StandIn, Store } from '../../ports.ts';
import type { Trouble } from '../notify/installation-alarm.ts';
import { HeldReadings } from './held-readings.ts';
import { settleHandshakes } from './memory-handshakes.ts';
import { memoryStore } from './memory-store.ts';

type Deps = {
  readonly record: () => RecordStore;
  /** the parts of the record, as it is at each call */
  readonly kept: Parameters<typeof memoryStore>[0]['record'];
  readonly log: Log;
  readonly why: string;
  readonly nowMs: number;
};

/** What goes on in memory while the record cannot be written. */
export type InMemory = ReturnType<typeof goOnInMemory>;

/** Makes a store in memory that stands in for the record from now on. */
export function goOnInMemory({ record, kept, log, why, nowMs: sinceMs }: Deps) {
  const standIn: StandIn = record().standIn();
  const held = new HeldReadings();
  const store: Store = memoryStore({ record: kept, standIn, held, log, why: () => why });
  /** Writes what changed here into the record, where that accepts it. @returns whether it did */
  const carry = (besides: () => void): boolean => {
    try {
      record().touch();
      const changes = standIn.changes();
      record().transaction(() => {
        record().takeOver(changes);
        besides();
      });
      standIn.copied();
      return true;
    } catch (cause) {
      if (!(cause instanceof Fault))
        log.error('what is in memory could not be written', { error: String(cause) });
      return false;
    }
  };
  return {
    store,
    sinceMs,
    /** Writes what changed here into the record, and goes on. @returns whether it could be */
    carry: () => carry(() => undefined),
    /** Writes that and the readings that are held, and ends. @returns whether it could be; else it goes on */
    end(): boolean {
      const written = carry(() => {
        for (const reading of held.all()) record().journal.append(reading);
        settleHandshakes(standIn.store.handshakes, record().handshakes);
      });
      if (written) standIn.store.close();
      return written;
    },
    trouble: (): Trouble => ({ what: 'the record cannot be written', sinceMs, detail: why }),
  };
}
