import Database from 'better-sqlite3';
import type { RecordStore, Store } from '../../../../server/ports.ts';
import { Fault } from '../../../../shared/faults.ts';

export type FailingStore = {
  readonly store: RecordStore;
  /** makes the nth write from now throw; 0 makes the next commit throw after all its writes */
  failAt(n: number): void;
  /** from now on nothing throws */
  mend(): void;
  /** writes since the last failAt */
  writes(): number;
};

type Writing = <A extends readonly unknown[], R>(write: (...given: A) => R) => (...given: A) => R;

function alarmsOf({ alarms }: Store, writing: Writing): Store['alarms'] {
  return { ...alarms, save: writing(alarms.save), addEvent: writing(alarms.addEvent) };
}

type Truth = Pick<Store, 'corrections' | 'checks' | 'clock'>;

function truthOf({ corrections, checks, clock }: Store, writing: Writing): Truth {
  const { add, setWithdrawn } = corrections;
  const { addJump, shiftPending, setAside } = clock;
  const written = { addJump: writing(addJump), shiftPending: writing(shiftPending) };
  return {
    clock: { ...clock, ...written, setAside: writing(setAside) },
    corrections: { ...corrections, add: writing(add), setWithdrawn: writing(setWithdrawn) },
    checks: { ...checks, add: writing(checks.add), save: writing(checks.save) },
  };
}

function lifecycleOf({ waiting, archive }: Store, writing: Writing): Pick<Store, 'waiting' | 'archive'> {
  const { save, keepPack, trim, forget } = waiting;
  return {
    waiting: {
      ...waiting,
      save: writing(save),
      keepPack: writing(keepPack),
      trim: writing(trim),
      forget: writing(forget),
    },
    archive: {
      ...archive,
      add: writing(archive.add),
      update: writing(archive.update),
      putBack: writing(archive.putBack),
    },
  };
}
function handshakesOf({ handshakes, access }: Store, writing: Writing): Pick<Store, 'handshakes' | 'access'> {
  const { open, over } = handshakes;
  return { handshakes: { ...handshakes, open: writing(open), over: writing(over) }, access };
}

function batchesOf({ batches }: Store, writing: Writing): Store['batches'] {
  return {
    ...batches,
    add: writing(batches.add),
    update: writing(batches.update),
    remove: writing(batches.remove),
    putStage: writing(batches.putStage),
    putMove: writing(batches.putMove),
    putCount: writing(batches.putCount),
    removeStage: writing(batches.removeStage),
    removeMove: writing(batches.removeMove),
    removeCount: writing(batches.removeCount),
    choose: writing(batches.choose),
  };
}

type OfReadings = Pick<Store, 'journal' | 'probes' | 'places' | 'refusals'>;

function readingsOf({ journal, probes, places, refusals }: Store, writing: Writing): OfReadings {
  return {
    journal: {
      ...journal,
      append: writing(journal.append),
      dropReadings: writing(journal.dropReadings),
      noteProgress: writing(journal.noteProgress),
    },
    probes: {
      ...probes,
      add: writing(probes.add),
      countConflict: writing(probes.countConflict),
    },
    places: {
      ...places,
      add: writing(places.add),
      update: writing(places.update),
      addTargets: writing(places.addTargets),
      putTimeline: writing(places.putTimeline),
    },
    refusals: { ...refusals, keep: writing(refusals.keep) },
  };
}

/** As the adapter says it. */
const full = () => new Fault({ code: 'store-failed', message: 'database or disk is full' });

/**
 * A store whose nth write throws, as on a full disk.
 *
 * @param inner the store that is written to
 * @returns the same store, and what makes it fail
 */
export function failingStore(inner: RecordStore): FailingStore {
  let failing: number | null = null;
  let count = 0;
  const writing =
    <A extends readonly unknown[], R>(write: (...given: A) => R) =>
    (...given: A): R => {
      count++;
      if (count === failing) throw full();
      return write(...given);
    };
  const transaction: Store['transaction'] = (work) =>
    inner.transaction(() => {
      const result = work();
      if (failing === 0) throw full();
      return result;
    });
  const store: RecordStore = {
    ...readingsOf(inner, writing),
    alarms: alarmsOf(inner, writing),
    outbox: { ...inner.outbox, put: writing(inner.outbox.put), sent: writing(inner.outbox.sent) },
    horizon: { ...inner.horizon, set: writing(inner.horizon.set) },
    settled: { ...inner.settled, put: writing(inner.settled.put), putDays: writing(inner.settled.putDays) },
    ...handshakesOf(inner, writing),
    ...lifecycleOf(inner, writing),
    mappings: inner.mappings,
    sheets: inner.sheets,
    preparations: inner.preparations,
    keys: inner.keys,
    restoreGaps: inner.restoreGaps,
    ...truthOf(inner, writing),
    batches: batchesOf(inner, writing),
    people: {
      ...inner.people,
      saveCalling: writing(inner.people.saveCalling),
      useLinkOnce: writing(inner.people.useLinkOnce),
    },
    pathTests: { ...inner.pathTests, add: writing(inner.pathTests.add) },
    diary: {
      ...inner.diary,
      addVent: writing(inner.diary.addVent),
      removeVent: writing(inner.diary.removeVent),
      add: writing(inner.diary.add),
      update: writing(inner.diary.update),
      remove: writing(inner.diary.remove),
    },
    transaction,
    carryOn: transaction,
    lasting: () => true,
    provide: inner.provide,
    standIn: inner.standIn,
    takeOver: writing(inner.takeOver),
    touch: writing(inner.touch),
    close: () => inner.close(),
  };
  return {
    store,
    failAt(n) {
      failing = n;
      count = 0;
    },
    mend() {
      failing = null;
    },
    writes: () => count,
  };
}

/**
 * Everything committed in a database file, table by table.
 *
 * @param file its path
 * @returns the rows of each table
 */
export function contentsOf(file: string): Record<string, unknown[]> {
  const db = new Database(file, { readonly: true });
  const tables = db
    .prepare<[], string>("SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'")
    .pluck()
    .all();
  const rows = Object.fromEntries(tables.map((name) => [name, db.prepare(`SELECT * FROM ${name}`).all()]));
  db.close();
  return rows;
}
