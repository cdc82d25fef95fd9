import { expect, test } from 'vitest';
import { createSheetService } from '../../../../server/daemon/services/sheets.ts';
import { shippedSheets } from '../../../../server/domain/sheets/shipped.ts';
import type { Sheet, SheetContent } from '../../../../shared/model/cuttings/sheet.ts';
import { startHouse } from '../support/house.ts';

const { id: _id, version: _version, own: _own, ...content } = shippedSheets()[0] as Sheet;
const named = (name: string): SheetContent => ({ ...content, name });

test('own sheets are there after a restart, and the number of a deleted one is not given again', () => {
  const house = startHouse();
  const first = house.daemon.sheets.add(named('Mine'));
  house.daemon.sheets.change(first.id, named('Mine, again'));
  house.daemon.sheets.remove(house.daemon.sheets.add(named('Gone')).id);
  house.daemon.stop();
  const { store, hand, keep } = house;
  const { sheets } = startHouse({ store, hand, keep }).daemon;
  expect(sheets.list().filter(({ own }) => own)).toMatchObject([
    { id: 'own-1', version: 2, name: 'Mine, again' },
  ]);
  expect(sheets.sheetOf('own-1', 1)).toEqual(first);
  expect(sheets.add(named('Third')).id).toBe('own-3');
});

test('a sheet that 2 batches use is not deleted, and one that none uses is', () => {
  const house = startHouse();
  const uses = new Map([['own-1', 2]]);
  const sheets = createSheetService({
    world: house.daemon.world,
    store: house.store,
    clock: house.hand.clock,
    batchesOn: (id) => uses.get(id) ?? 0,
  });
  sheets.add(named('Used'));
  expect(() => sheets.remove('own-1')).toThrow(/2 batches use/);
  uses.clear();
  sheets.remove('own-1');
  expect(sheets.list().some(({ id }) => id === 'own-1')).toBe(false);
});
