import { expect, test } from 'vitest';
import { sheetRegistry } from '../../../../../server/domain/sheets/registry.ts';
import { shippedSheets } from '../../../../../server/domain/sheets/shipped.ts';
import type { Sheet } from '../../../../../shared/model/cuttings/sheet.ts';
import { stageOf } from '../../../../../shared/model/cuttings/sheet.ts';

const [first] = shippedSheets() as readonly [Sheet];
const own = (version: number): Sheet => ({
  ...first,
  id: 'own-1',
  own: true,
  version,
  name: `Mine ${version}`,
});

test('a sheet is found by its id, in its newest version or in the one named, and an unknown one is null', () => {
  const registry = sheetRegistry([own(2), own(1), own(3)]);
  expect(registry.sheetOf('own-1')?.version).toBe(3);
  expect(registry.sheetOf('own-1', 2)?.name).toBe('Mine 2');
  expect(registry.sheetOf('own-1', 4)).toBe(null);
  expect(registry.sheetOf('none')).toBe(null);
});

test('the list has the newest version of each sheet once, shipped ones first', () => {
  const listed = sheetRegistry([own(1), own(2)]).list();
  expect(listed.filter(({ id }) => id === 'own-1').map(({ version }) => version)).toEqual([2]);
  expect(listed.at(-1)?.id).toBe('own-1');
  expect(listed.length).toBe(shippedSheets().length + 1);
});

test('poinsettia roots at 26 to 28 °C in the medium, and its peak of light is stated until callus', () => {
  const sheet = sheetRegistry([]).sheetOf('poinsettia') as Sheet;
  expect(stageOf(sheet, 'callusing').targets.rootZone.night).toEqual({ lowC: 26, highC: 28 });
  expect(sheet.sources['callusing.rootZone.night.highC']).toMatch(/^WIL05: .*130:302/);
});
