import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { Store } from '../../server/ports.ts';
import { DEFAULT_PLACE_SETTINGS } from '../../shared/model/place.ts';
import { TARGETS } from '../unit/server/support/targets.ts';
import { type Kept, type Opened, PROBE, settle } from './opened.ts';
import { alarmsContract, outboxContract } from './store-alarms.suite.ts';
import { diaryContract, journalContract, latestContract } from './store-journal.suite.ts';
import { mappingsContract } from './store-mappings.suite.ts';
import { peopleContract } from './store-people.suite.ts';
import { refusalsContract } from './store-refusals.suite.ts';
import {
  droppedContract,
  sealedContract,
  sealingContract,
  takenBackContract,
} from './store-sealing.suite.ts';
import { sheetsContract } from './store-sheets.suite.ts';

/**
 * What every store promises.
 *
 * @param name of the store
 * @param make an empty store
 */
export function storeContract(name: string, make: () => Kept): void {
  describe(`store: ${name}`, () => {
    let kept: Kept;
    let store: Store;
    beforeEach(() => {
      kept = make();
      store = kept.open();
    });
    afterEach(() => store.close());
    const opened: Opened = {
      store: () => store,
      reopen: () => {
        store.close();
        store = kept.open();
        return store;
      },
    };
    describe('journal', () => journalContract(opened));
    describe('newest and oldest', () => latestContract(opened));
    describe('sealing', () => sealingContract(opened));
    describe('sealed hours', () => sealedContract(opened));
    describe('readings that went for their age', () => droppedContract(opened));
    describe('readings taken back', () => takenBackContract(opened));
    describe('places and probes', () => placesContract(opened));
    describe('transaction', () => transactionContract(opened));
    describe('refusals', () => refusalsContract(opened));
    describe('alarms', () => alarmsContract(opened));
    describe('diary', () => diaryContract(opened));
    describe('outbox', () => outboxContract(opened));

    describe('people', () => peopleContract(opened));
    describe('mappings', () => mappingsContract(opened));
    describe('own target sheets', () => sheetsContract(opened));
  });
}

function placesContract({ store, reopen }: Opened): void {
  test('a place, its 2 edits of targets and its probe with 1 conflict come back as they went', () => {
    const probeId = settle(store());
    for (const fromMs of [0, 50])
      store().places.addTargets('bench-1', { fromMs, enteredMs: 7, targets: TARGETS });
    store().probes.countConflict(probeId);
    reopen();
    expect(store().places.all()).toMatchObject([
      { id: 'bench-1', name: 'Bench 1', kind: 'bench', invented: false },
    ]);
    expect(store().places.targetsEntries('bench-1')).toEqual([
      { fromMs: 0, enteredMs: 7, targets: TARGETS },
      { fromMs: 50, enteredMs: 7, targets: TARGETS },
    ]);
    expect(store().probes.all()).toEqual([{ ...PROBE, id: probeId, conflicts: 1 }]);
  });

  test('name, kind and settings of a place can be changed', () => {
    settle(store());
    const [place] = store().places.all();
    const settings = { ...DEFAULT_PLACE_SETTINGS, altitudeM: 450 };
    if (place) store().places.update({ ...place, name: 'Case 2', kind: 'case', settings });
    expect(reopen().places.all()).toMatchObject([
      { name: 'Case 2', kind: 'case', settings: { altitudeM: 450 } },
    ]);
  });

  test('of 2 probes the 1 known from a file alone is so after a restart, until it reports by itself', () => {
    const probeId = settle(store());
    settle(store(), { name: 'air/humidity' });
    expect(store().probes.fromFile()).toEqual([]);
    store().probes.setFromFile(probeId, true);
    expect(reopen().probes.fromFile()).toEqual([probeId]);
    store().probes.setFromFile(probeId, false);
    expect(reopen().probes.fromFile()).toEqual([]);
  });

  test('1 device has a probe of a name once', () => {
    settle(store());
    expect(() => settle(store())).toThrow(/UNIQUE/);
  });

  test('removing a place takes its probe and reading with it and leaves those of the other place', () => {
    const probeId = settle(store());
    store().places.add({
      id: 'dome',
      name: 'Dome',
      kind: 'dome',
      invented: true,
      settings: DEFAULT_PLACE_SETTINGS,
    });
    const other = settle(store(), { device: 'dome', placeId: 'dome' });
    store().transaction(() => {
      for (const id of [probeId, other]) store().journal.append({ probeId: id, tMs: 1, value: 2 });
    });
    store().places.addTargets('dome', { fromMs: 0, enteredMs: 0, targets: TARGETS });
    store().places.removeWithRecord('dome');
    reopen();
    const { places, probes } = store();
    expect(places.all().map(({ id }) => id)).toEqual(['bench-1']);
    expect(probes.all().map(({ id }) => id)).toEqual([probeId]);
    expect([store().journal.latest(probeId)?.value, store().journal.latest(other)]).toEqual([2, null]);
    expect(store().places.targetsEntries('dome')).toEqual([]);
  });
}

function transactionContract({ store, reopen }: Opened): void {
  test('one that throws leaves nothing of its place, probe, reading and refusal', () => {
    const work = () => {
      const probeId = settle(store());
      store().journal.append({ probeId, tMs: 1, value: 2 });
      store().refusals.keep({
        atMs: 0,
        code: 'not-json',
        reason: 'r',
        pointer: null,
        device: null,
        topic: 't',
        bytes: 1,
        payload: 'x',
      });
      throw new Error('after 4 writes');
    };
    expect(() => store().transaction(work)).toThrow('after 4 writes');
    reopen();
    expect([store().places.all(), store().probes.all(), store().refusals.newest(9)]).toEqual([[], [], []]);
    expect(store().refusals.countsByCode()).toEqual({});
  });

  test('one that returns is there after a restart, and gives what its work gave', () => {
    const probeId = store().transaction(() => settle(store()));
    expect(
      reopen()
        .probes.all()
        .map(({ id }) => id),
    ).toEqual([probeId]);
  });
}
