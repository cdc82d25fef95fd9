import { join } from 'node:path';
import type Database from 'better-sqlite3';
import { beforeAll, describe, expect, test } from 'vitest';
import { openStore } from '../../server/adapters/sqlite/store.ts';
import { temporaryFolder } from '../support/folders.ts';
import { makeFullRecord } from '../support/full-record.ts';
import { changedCopy, NOW_MS, restored } from './hostile-file.ts';

let full: string;
beforeAll(async () => {
  full = join(temporaryFolder('full'), 'record.db');
  await makeFullRecord(full, { nowMs: NOW_MS });
});
const changed = (change: (db: Database.Database) => void) => changedCopy(full, change);

type Case = readonly [
  name: string,
  sql: string,
  said: readonly [table: string, kind: 'changed' | 'left-out', why: RegExp],
];

test('a batch comes back from a backup with its stage, its move, its count and its details', () => {
  const { to } = restored(full);
  const store = openStore({ file: to, nowMs: NOW_MS });
  const before = openStore({ file: changed(() => undefined), nowMs: NOW_MS });
  expect(store.batches.all()).toEqual(before.batches.all());
  expect(store.batches.all()).toMatchObject([
    {
      id: 1,
      body: { crop: 'Poinsettia', cultivar: 'Early Red' },
      stays: [{ placeId: 'bench-1' }, { placeId: 'old' }],
      counts: [{ count: { looked: 20, rooted: 14 } }],
    },
  ]);
  expect(store.batches.choices('bench-1')).toHaveLength(1);
  store.close();
  before.close();
});

describe('a row of a batch that does not fit is named, and changed or left out', () => {
  const cases: readonly Case[] = [
    [
      'a batch whose sheet holds from before it was stuck',
      'UPDATE batch SET stuck_ms = stuck_ms + 1',
      ['batch', 'left-out', /sheets do not follow/],
    ],
    [
      'a batch at a place that is not there',
      "UPDATE batch SET place_id = 'nowhere'",
      ['batch', 'changed', /taken for removed/],
    ],
    ['a stage nobody knows', "UPDATE batch_stage SET stage = 'x'", ['batch_stage', 'left-out', /stage/]],
    [
      'a move from before the batch was stuck',
      'UPDATE batch_move SET from_ms = 1',
      ['batch_move', 'left-out', /before its batch was stuck/],
    ],
    [
      'more rooted than were looked at',
      "UPDATE batch_count SET body = json_set(body, '$.rooted', 21)",
      ['batch_count', 'left-out', /rooted does not fit/],
    ],
    [
      'a batch that leads and is not there',
      'UPDATE leading SET batch_id = 99',
      ['leading', 'left-out', /not there/],
    ],
  ];

  test.each(cases)('%s', (_name, sql, [table, kind, why]) => {
    const from = changed((db) => {
      db.pragma('foreign_keys = OFF');
      expect(db.prepare(sql).run().changes).toBeGreaterThan(0);
    });
    const { to, report } = restored(from);
    expect(report.remarks).toContainEqual(
      expect.objectContaining({ table, kind, why: expect.stringMatching(why) }),
    );
    const store = openStore({ file: to, nowMs: NOW_MS });
    expect(store.places.all().length).toBeGreaterThan(0);
    expect(() => store.batches.all()).not.toThrow();
    store.close();
  });
});
