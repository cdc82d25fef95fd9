import { Fault } from '../../../shared/faults.ts';
import type { Log, StandIn, Store } from '../../ports.ts';
import { boundedOutbox } from './bounded-outbox.ts';
import type { HeldReadings } from './held-readings.ts';
import { memoryHandshakes } from './memory-handshakes.ts';
import { memoryJournal } from './memory-journal.ts';

type Deps = {
  /** the record, as far as it can be read */
  readonly record: Pick<Store, 'journal' | 'refusals' | 'settled' | 'clock' | 'handshakes'>;
  readonly standIn: StandIn;
  readonly held: HeldReadings;
  readonly log: Log;
  /** why the record cannot be written */
  readonly why: () => string;
};

/**
 * The store while the record cannot be written: alarms, messages and callings in memory, readings as far as they are
 * on disk with those that are held, and nothing that can wait.
 */
export function memoryStore({ record, standIn, held, log, why }: Deps): Store {
  const memory = standIn.store;
  const refuse = (): never => {
    throw new Fault({ code: 'store-failed', message: `The record cannot be written: ${why()}` });
  };
  return {
    ...memory,
    journal: memoryJournal({ record: record.journal, held, memory }),
    outbox: boundedOutbox(memory.outbox, ({ key }) =>
      log.error('a message was left out: too many wait while the record cannot be written', { key }),
    ),
    // what comes unacknowledged comes again, and is counted then
    probes: { ...memory.probes, countConflict: () => undefined },
    refusals: {
      newest: (limit) => record.refusals.newest(limit),
      countsByCode: () => record.refusals.countsByCode(),
      keep: () => undefined,
    },
    settled: {
      get: (placeId, span) => record.settled.get(placeId, span),
      days: (placeId, span) => record.settled.days(placeId, span),
      newestHour: (placeId) => record.settled.newestHour(placeId),
      put: () => undefined,
      putDays: () => undefined,
      forget: refuse,
      forgetAll: refuse,
    },
    handshakes: memoryHandshakes(record.handshakes, memory.handshakes),
    // groups of readings, and those set aside, are of the record alone
    clock: {
      ...memory.clock,
      newestGroup: () => record.clock.newestGroup(),
      aside: () => record.clock.aside(),
    },
    access: withoutNewLogins(memory.access, refuse),
    transaction: refuse,
    carryOn: (work) => inMemory(memory, held, work),
    lasting: () => false,
    touch: refuse,
  };
}

/** People may sign in and out; who may do so at all is changed on disk only. */
function withoutNewLogins(access: Store['access'], refuse: () => never): Store['access'] {
  return {
    ...access,
    addAccount: refuse,
    setPassword: refuse,
    setRole: refuse,
    removeAccount: refuse,
    setDeviceLogin: refuse,
    addDevice: refuse,
    setDeviceSecret: refuse,
    setDeviceState: refuse,
  };
}

function inMemory<T>(memory: Store, held: HeldReadings, work: () => T): T {
  try {
    const result = memory.transaction(work);
    held.settle();
    return result;
  } catch (cause) {
    held.undo();
    throw cause;
  }
}
