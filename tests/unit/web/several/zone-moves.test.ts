import { expect, test } from 'vitest';
import { boardOf, movedBy } from '../../../../web/several/zone-moves.ts';

const place = (id: string, zone: string | null) => ({ id, name: id, settings: { zone } });
const PLACES = [place('b 10', 'South'), place('b 2', 'South'), place('b 1', 'North'), place('b 3', null)];
const shown = (board: ReturnType<typeof boardOf>) =>
  board.map(({ zone, places }) => [zone, places.map(({ id }) => id)]);

test('places stand by zone and name, those without one first; a new zone is empty', () => {
  expect(shown(boardOf(PLACES, {}, ['West']))).toEqual([
    [null, ['b 3']],
    ['North', ['b 1']],
    ['South', ['b 2', 'b 10']],
    ['West', []],
  ]);
});

test('a moved place stands where it was moved to, and the zone it left stays though nobody is in it', () => {
  expect(shown(boardOf(PLACES, { 'b 1': null, 'b 10': 'North' }, []))).toEqual([
    [null, ['b 1', 'b 3']],
    ['North', ['b 10']],
    ['South', ['b 2']],
  ]);
});

test('by keys a place goes to the zone after or before its own, and not beyond the last', () => {
  const board = boardOf(PLACES, {}, []);
  expect(movedBy(board, 'b 1', 1)).toBe('South');
  expect(movedBy(board, 'b 1', -1)).toBeNull();
  expect(movedBy(board, 'b 2', 1)).toBeUndefined();
  expect(movedBy(board, 'b 3', -1)).toBeUndefined();
  expect(movedBy(board, 'gone', 1)).toBeUndefined();
});
