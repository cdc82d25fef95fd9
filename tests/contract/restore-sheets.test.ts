import { join } from 'node:path';
import { beforeAll, expect, test } from 'vitest';
import { temporaryFolder } from '../support/folders.ts';
import { makeFullRecord } from '../support/full-record.ts';
import { changedCopy, NOW_MS, restored } from './hostile-file.ts';

let full: string;
beforeAll(async () => {
  full = join(temporaryFolder('full'), 'record.db');
  await makeFullRecord(full, { nowMs: NOW_MS });
});

test.each([
  ['without its last stage', "body = json_remove(body, '$.stages[3]')", /stages/],
  [
    'with a ceiling that is a text',
    "body = json_set(body, '$.stages[0].targets.air.ceilingC', 'hot')",
    /stages/,
  ],
  ['with an id that is none', "id = '../x'", /id/],
  ['made at no time', 'made_ms = -9e15', /time/],
])('an own sheet %s is left out of a restore, and said to be', (_, set, why) => {
  const from = changedCopy(full, (db) => void db.exec(`UPDATE own_sheet SET ${set}`));
  expect(restored(from).report.remarks).toContainEqual(
    expect.objectContaining({ table: 'own_sheet', kind: 'left-out', why: expect.stringMatching(why) }),
  );
});
