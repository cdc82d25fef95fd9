import { Fault } from '../../../shared/faults.ts';
import type { HouseFacts } from '../../../shared/wire/http.ts';
import type { Clock, Log, RecordStore, Reserve, StandIn, Store, Timers } from '../../ports.ts';
import type { Trouble } from '../of-installation.ts';
import { HeldReadings } from './held-readings.ts';
import { settleHandshakes } from './memory-handshakes.ts';
import { memoryStore } from './memory-store.ts';
import { switchedParts } from './switched-store.ts';

/** Who left less than this ago and is back waits longer with each return, to at most the second figure, ms. */
const BACK_SOON_MS = 10 * 60_000;
const MOST_WAIT_MS = 10 * 60_000;
const FIRST_WAIT_MS = 30_000;

export type EmergencyDeps = {
  readonly record: RecordStore;
  /** given where the record cannot be written at the start: why, and how it is opened again unless it is so already */
  readonly atStart?: { readonly why: string; readonly again: OpenAgain | null } | null;
  readonly reserve?: Reserve | null;
  readonly clock: Clock;
  readonly timers: Timers;
  readonly log: Log;
};

/** Opens a record again that could only be opened for reading. */
export type OpenAgain = {
  /** whether its folder takes what is written by now */
  mayWrite(): boolean;
  /** for writing. @throws when it still cannot be */
  write(): RecordStore;
  read(): RecordStore;
};

/** What goes on in memory while the record cannot be written. */
type InMemory = {
  readonly standIn: StandIn;
  readonly held: HeldReadings;
  readonly store: Store;
  readonly sinceMs: number;
  readonly why: string;
};

/** Writes what was held into the record, inside a transaction. */
function settle({ held, standIn }: InMemory, { journal, handshakes }: Store): void {
  for (const reading of held.all()) journal.append(reading);
  settleHandshakes(standIn.store.handshakes, handshakes);
}

export type Emergency = ReturnType<typeof openEmergency>;

/**
 * Watches whether the record takes what is written. While it does not, the same functions run over a store in memory:
 * readings are judged and people are called, and nothing is acknowledged. Once it can be written again, what happened
 * meanwhile is written into it in one transaction.
 */
export function openEmergency(deps: EmergencyDeps) {
  const { clock, timers, log, reserve = null } = deps;
  const listeners: ((writable: boolean) => void)[] = [];
  let record = deps.record;
  let again = deps.atStart?.again ?? null;
  const kept = switchedParts(() => record);
  let memory: InMemory | null = null;
  let entered: () => void = () => undefined;
  let [leftMs, waitMs] = [Number.NEGATIVE_INFINITY, 0];

  const current = (): Store => memory?.store ?? record;
  const tell = () => {
    const writable = memory === null;
    timers.soon(() => {
      for (const each of listeners) each(writable);
    });
  };
  const enter = (why: string) => {
    const nowMs = clock.nowMs();
    waitMs = nowMs - leftMs > BACK_SOON_MS ? 0 : Math.min(MOST_WAIT_MS, Math.max(FIRST_WAIT_MS, 2 * waitMs));
    const [standIn, held] = [record.standIn(), new HeldReadings()];
    const store = memoryStore({ record: kept, standIn, held, log, why: () => why });
    memory = { standIn, held, store, sinceMs: nowMs, why };
    log.error('the record cannot be written: readings are judged in memory, and none is acknowledged', {
      error: why,
    });
    reserve?.giveUp();
    entered();
    tell();
    // what the reserve has made room for
    timers.soon(() => carry());
  };
  /** @returns whether what went wrong was the record, and memory stands in for it from now on */
  const refused = (cause: unknown): boolean => {
    if (!(cause instanceof Fault) || cause.code !== 'store-failed') return false;
    if (memory !== null) return false;
    try {
      enter(cause.message);
      return true;
    } catch (again) {
      log.error('nothing can stand in for the record', { error: String(again) });
      return false;
    }
  };
  /** Writes what changed in memory into the record, where that takes it. @returns whether it did */
  const carry = (besides: () => void = () => undefined): boolean => {
    if (memory === null) return true;
    const { standIn } = memory;
    try {
      record.touch();
      const changes = standIn.changes();
      record.transaction(() => {
        record.takeOver(changes);
        besides();
      });
      standIn.taken();
      return true;
    } catch (cause) {
      if (!(cause instanceof Fault))
        log.error('what is in memory could not be written', { error: String(cause) });
      return false;
    }
  };
  const leave = () => {
    if (memory === null) return;
    const leaving = memory;
    if (!carry(() => settle(leaving, record))) return;
    leaving.standIn.store.close();
    memory = null;
    leftMs = clock.nowMs();
    log.info('the record is written again');
    tell();
  };
  const openAgain = (): boolean => {
    const opening = again;
    if (opening === null) return true;
    if (!opening.mayWrite()) return false;
    // a file that this process has open for reading only could not be opened for writing beside it
    record.close();
    try {
      record = opening.write();
      again = null;
      return true;
    } catch {
      record = opening.read();
      return false;
    }
  };

  const store: Store = {
    ...switchedParts(current),
    transaction(work) {
      if (memory !== null) return memory.store.transaction(work);
      try {
        return record.transaction(work);
      } catch (cause) {
        refused(cause);
        throw cause;
      }
    },
    carryOn(work) {
      if (memory === null) {
        try {
          return record.transaction(work);
        } catch (cause) {
          if (!refused(cause)) throw cause;
        }
      }
      return current().carryOn(work);
    },
    lasting: () => memory === null,
    touch: () => record.touch(),
    close: () => record.close(),
  };
  if (deps.atStart) enter(deps.atStart.why);

  return {
    store,
    refused: (cause: unknown) => void refused(cause),
    writable: () => memory === null,
    facts: (): HouseFacts['store'] => ({
      writable: memory === null,
      since: memory === null ? null : new Date(memory.sinceMs).toISOString(),
      ...(reserve === null ? {} : { reserveBytes: reserve.facts().bytes }),
    }),
    /** What there is to say of it in an alarm. */
    troubles: (): Trouble[] =>
      memory === null
        ? []
        : [{ what: 'the record cannot be written', sinceMs: memory.sinceMs, detail: memory.why }],
    /** @param then makes again what is in memory, whenever memory has come to stand in for the record */
    onEnter(then: () => void) {
      entered = then;
    },
    /** Told, after the turn under way, whether the record can be written. */
    onChange(listener: (writable: boolean) => void) {
      listeners.push(listener);
      if (memory !== null) listener(false);
    },
    provide: () => record.provide(),
    /** Tries the record again while it is known to refuse; holds space back while it is not. */
    turn() {
      if (memory === null) return void reserve?.restore();
      if (!openAgain() || !carry()) return;
      if (clock.nowMs() - memory.sinceMs < waitMs) return;
      if (reserve === null || reserve.restore()) leave();
    },
  };
}
