import { describe, expect, test } from 'vitest';
import { type CountValues, countOf } from '../../../../web/batches/one/count-form.ts';
import {
  cropsOf,
  newBatchOf,
  type StartValues,
  sheetsByFit,
} from '../../../../web/batches/start/start-form.ts';
import { placeNamed } from '../examples.ts';
import { AT } from './examples.ts';

const typed: StartValues = {
  crop: ' Poinsettia ',
  sheetId: 'poinsettia',
  placeId: 'sill',
  stuckAt: '2025-12-03T11:30',
  count: ' 50 ',
  cultivar: '',
  nodes: '',
  cutAt: '',
  cutHour: '',
  boxOpenedAt: '',
};

describe('a new batch', () => {
  test('is read from what was typed, its time as the clock of the installation shows it', () => {
    const { body } = newBatchOf(typed, { ...AT, timeZone: 'Europe/Berlin' });
    expect(body).toEqual({
      crop: 'Poinsettia',
      sheetId: 'poinsettia',
      placeId: 'sill',
      stuckAt: '2025-12-03T10:30:00.000Z',
      count: 50,
    });
    expect(newBatchOf({ ...typed, cultivar: 'Freedom' }, AT).body?.cultivar).toBe('Freedom');
    const more = { nodes: ' 3 ', cutAt: '2025-12-03T09:00', boxOpenedAt: '2025-12-03T11:30' };
    expect(newBatchOf({ ...typed, ...more }, AT).body).toMatchObject({
      nodes: 3,
      cutAt: '2025-12-03T09:00:00.000Z',
      boxOpenedAt: '2025-12-03T11:30:00.000Z',
    });
    expect(newBatchOf({ ...typed, cutHour: '16' }, AT).body).toMatchObject({ cutHour: 16 });
  });

  test.each([
    ['crop', { crop: ' ' }],
    ['sheetId', { sheetId: '' }],
    ['placeId', { placeId: '' }],
    ['count', { count: '' }],
    ['count', { count: '0' }],
    ['count', { count: '2.5' }],
    ['count', { count: 'fifty' }],
    ['stuckAt', { stuckAt: '' }],
    ['stuckAt', { stuckAt: '2025-12-03T12:01' }],
    ['nodes', { nodes: '0' }],
    ['nodes', { nodes: 'two' }],
    ['cutAt', { cutAt: '2025-12-03T11:31' }],
    ['boxOpenedAt', { cutAt: '2025-12-03T11:00', boxOpenedAt: '2025-12-03T10:59' }],
  ] as const)('asks for %s where %j was typed', (field, change) => {
    const { body, errors } = newBatchOf({ ...typed, ...change }, AT);
    expect(body).toBeNull();
    expect(Object.keys(errors ?? {})).toEqual([field]);
  });
});

test('crops grown before come first, the newest first; those of the sheets follow by name, none twice', () => {
  const sheets = ['poinsettia', 'geranium', 'fuchsia'].map((crop) => ({ crop }));
  const batches = ['Geranium', 'Coleus', 'Geranium'].map((crop) => ({ crop }));
  expect(cropsOf(sheets, batches)).toEqual({
    grown: ['Geranium', 'Coleus'],
    others: ['fuchsia', 'poinsettia'],
  });
});

test('of four sheets the one of the crop comes first, then by kind of place, bottom heat and name', () => {
  const sheet = (
    name: string,
    crop: string,
    placeKinds: readonly 'bench'[] | readonly 'dome'[],
    bottomHeat = true,
  ) => ({
    id: name,
    name,
    crop,
    placeKinds: [...placeKinds],
    bottomHeat,
    cuttingType: 'herbaceous' as const,
  });
  const sheets = [
    sheet('d', 'any', ['dome']),
    sheet('c', 'any', ['bench'], false),
    sheet('b', 'any', ['bench']),
    sheet('a', 'poinsettia', ['dome']),
  ];
  const names = sheetsByFit(sheets, { crop: 'Poinsettia', place: placeNamed('sill') }).map(
    ({ name }) => name,
  );
  expect(names).toEqual(['a', 'b', 'c', 'd']);
  const elsewhere = sheetsByFit(sheets, { crop: 'coleus', place: undefined }).map(({ name }) => name);
  expect(elsewhere).toEqual(['a', 'b', 'c', 'd']);
});

const counted: CountValues = {
  at: '2025-12-03T11:30',
  counted: '50',
  rooted: '40',
  callused: '',
  lost: { rot: '3', other: '' },
  potted: '',
  grades: {},
};

describe('a count', () => {
  test('is read with its losses by cause, and without what was left empty', () => {
    expect(countOf(counted, AT).body).toEqual({
      at: '2025-12-03T11:30:00.000Z',
      looked: 50,
      rooted: 40,
      lost: [{ cause: 'rot', n: 3 }],
    });
    expect(countOf({ ...counted, callused: '45', lost: {} }, AT).body).toMatchObject({ callused: 45 });
  });

  test('has how many were potted on, by grade; where only grades are typed, as many as they are together', () => {
    const grades = { A: '20', B: '', C: '5' };
    const body = {
      grades: [
        { grade: 'A', n: 20 },
        { grade: 'C', n: 5 },
      ],
    };
    expect(countOf({ ...counted, potted: '38', grades }, AT).body).toMatchObject({ ...body, potted: 38 });
    expect(countOf({ ...counted, grades }, AT).body).toMatchObject({ ...body, potted: 25 });
    expect(countOf({ ...counted, potted: '0' }, AT).body).toMatchObject({ potted: 0 });
  });

  test('none rooted is a count', () => {
    expect(countOf({ ...counted, rooted: '0' }, AT).body?.rooted).toBe(0);
  });

  test.each([
    ['counted', { counted: '' }],
    ['counted', { counted: '0' }],
    ['rooted', { rooted: '' }],
    ['rooted', { rooted: '-1' }],
    ['rooted', { rooted: '48' }],
    ['callused', { callused: '51' }],
    ['callused', { callused: 'most' }],
    ['lost', { lost: { rot: 'a few' } }],
    ['potted', { potted: '48' }],
    ['potted', { potted: 'all' }],
    ['grades', { potted: '4', grades: { A: '5' } }],
    ['grades', { potted: '4', grades: { A: 'x' } }],
    ['at', { at: '' }],
    ['at', { at: '2025-12-04T08:00' }],
  ] as const)('asks for %s where %j was typed', (field, change) => {
    const { body, errors } = countOf({ ...counted, ...change }, AT);
    expect(body).toBeNull();
    expect(Object.keys(errors ?? {})).toEqual([field]);
  });
});
