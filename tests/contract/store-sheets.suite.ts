import { expect, test } from 'vitest';
import { shippedSheets } from '../../server/domain/sheets/shipped.ts';
import type { Sheet } from '../../shared/model/cuttings/sheet.ts';
import type { Opened } from './opened.ts';

const [SHIPPED] = shippedSheets() as readonly [Sheet];
const own = (id: string, version: number): Sheet => ({ ...SHIPPED, id, version, own: true });

/**
 * What a store promises about own target sheets.
 *
 * @param opened the store
 */
export function sheetsContract({ store, reopen }: Opened): void {
  test('3 versions of 2 sheets are there after a restart as they were given, by id and version', () => {
    expect(store().sheets.all()).toEqual([]);
    for (const sheet of [own('own-2', 1), own('own-1', 1), own('own-1', 2)])
      store().sheets.add({ sheet, madeMs: 7 });
    expect(reopen().sheets.all()).toEqual(
      [own('own-1', 1), own('own-1', 2), own('own-2', 1)].map((sheet) => ({
        sheet,
        madeMs: 7,
        removedMs: null,
      })),
    );
  });

  test('a deleted sheet is marked in all its versions, until that is taken back; an unknown one is not', () => {
    for (const sheet of [own('own-1', 1), own('own-1', 2), own('own-2', 1)])
      store().sheets.add({ sheet, madeMs: 7 });
    const marks = () =>
      store()
        .sheets.all()
        .map(({ removedMs }) => removedMs);
    expect(store().sheets.setRemoved('own-1', 50)).toBe(true);
    reopen();
    expect(marks()).toEqual([50, 50, null]);
    expect(store().sheets.setRemoved('own-1', null)).toBe(true);
    expect(marks()).toEqual([null, null, null]);
    expect(store().sheets.setRemoved('own-3', 50)).toBe(false);
  });
}
