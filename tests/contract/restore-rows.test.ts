import { join } from 'node:path';
import type Database from 'better-sqlite3';
import { beforeAll, describe, expect, test } from 'vitest';
import { openStore } from '../../server/adapters/sqlite/store.ts';
import { isComplete, restoreLines } from '../../server/domain/backups/restored.ts';
import { encodeDay } from '../../server/domain/exposures/settled-day.ts';
import { encodeBlock } from '../../server/domain/seal/block.ts';
import { encodeGroup } from '../../server/domain/seal/group.ts';
import { encodeMinutes, rollUp } from '../../server/domain/seal/minutes.ts';
import { temporaryFolder } from '../support/folders.ts';
import { makeFullRecord } from '../support/full-record.ts';
import { changedCopy, HOUR, HOUR_MS, NOW_MS, restored, valueIn } from './hostile-file.ts';

let full: string;
beforeAll(async () => {
  full = join(temporaryFolder('full'), 'record.db');
  await makeFullRecord(full, { nowMs: NOW_MS });
});
const changed = (change: (db: Database.Database) => void) => changedCopy(full, change);

type Case = readonly [
  name: string,
  sql: string,
  values: readonly unknown[],
  said: readonly [table: string, kind: 'changed' | 'left-out', why: RegExp],
];
const readings = (fromMs: number, value: number) => ({
  timesMs: Float64Array.of(fromMs, fromMs + 60_000),
  values: Float64Array.of(value, value),
});
const minutesOf = (hour: number) => encodeMinutes(rollUp(readings(hour * HOUR_MS, 20)));

describe('a row that does not fit is named, and is changed so that it can be used, or left out', () => {
  const cases: readonly Case[] = [
    [
      'a name of 8 MB',
      'UPDATE place SET name = ? WHERE rowid = 1',
      ['x'.repeat(8_000_000)],
      ['place', 'changed', /named by its id/],
    ],
    [
      'a name that turns the direction of writing',
      'UPDATE person SET name = ?',
      ['Sam\u202Ehtap'],
      ['person', 'changed', /name does not fit/],
    ],
    [
      'settings that are no JSON',
      "UPDATE place SET settings = '{no' WHERE rowid = 1",
      [],
      ['place', 'changed', /setting settings is the default/],
    ],
    [
      'a setting out of range',
      'UPDATE place SET settings = ? WHERE rowid = 1',
      ['{"maxGapMs":-5}'],
      ['place', 'changed', /setting maxGapMs is the default/],
    ],
    [
      'targets out of range',
      "UPDATE targets SET body = json_set(body, '$.air.ceilingC', 900)",
      [],
      ['targets', 'changed', /targets do not fit/],
    ],
    [
      'a kind nobody knows',
      "UPDATE place SET kind = 'rocket' WHERE rowid = 1",
      [],
      ['place', 'changed', /kind is not known/],
    ],
    [
      'a fraction for a number of a row',
      'UPDATE OR IGNORE diary_entry SET at_ms = 9e18',
      [],
      ['diary_entry', 'left-out', /at_ms/],
    ],
    [
      'a correction by 90 °C',
      'UPDATE correction SET offset = 90',
      [],
      ['correction', 'left-out', /can be off by/],
    ],
    [
      'a check that is no JSON',
      "UPDATE probe_check SET body = '['",
      [],
      ['probe_check', 'left-out', /body: is no JSON/],
    ],
    [
      'an alarm of a rule nobody knows',
      "UPDATE alarm SET body = json_set(body, '$.rule', 'meteor')",
      [],
      ['alarm', 'left-out', /rule does not fit/],
    ],
    [
      'an alarm under another name',
      "UPDATE alarm SET body = json_set(body, '$.id', 'x')",
      [],
      ['alarm', 'left-out', /do not belong together/],
    ],
    [
      'an alarm with a time no date can hold',
      "UPDATE alarm SET body = json_set(body, '$.raisedAtMs', 9e15)",
      [],
      ['alarm', 'left-out', /raisedAtMs/],
    ],
    [
      'a contact method that is none',
      `UPDATE way SET body = '{"kind":"pigeon"}'`,
      [],
      ['way', 'left-out', /kind does not fit/],
    ],
    [
      'an escalation that names somebody twice',
      "UPDATE ladder SET body = '{}'",
      [],
      ['ladder', 'left-out', /who gets called/],
    ],
    [
      'a weekly test on the 9th day',
      "UPDATE weekly_test SET body = json_set(body, '$.weekday', 9)",
      [],
      ['weekly_test', 'changed', /default holds/],
    ],
    [
      'a message that waits and is none',
      "UPDATE outbox SET state = 'waiting', body = '{}'",
      [],
      ['outbox', 'left-out', /body/],
    ],
    [
      'a password that takes for ever to try',
      'UPDATE account SET password = ?',
      [`scrypt$999999$8$1$${'a'.repeat(22)}$${'a'.repeat(43)}`],
      ['account', 'left-out', /password/],
    ],
    [
      'a key that is none',
      "UPDATE installation_key SET value = 'x' WHERE name = 'link-key'",
      [],
      ['installation_key', 'left-out', /no key/],
    ],
    [
      'a mapping of a topic of our own',
      "UPDATE mapping SET body = json_set(body, '$.filter', '#')",
      [],
      ['mapping', 'left-out', /filter/],
    ],
    [
      'a device named after a topic of ours',
      "UPDATE device SET name = 'alarms'",
      [],
      ['device', 'left-out', /name/],
    ],
    [
      'a group of readings of a probe that is not there',
      'UPDATE journal SET body = ?',
      [encodeGroup([{ probeId: 77, tMs: NOW_MS, value: 1 }])],
      ['journal', 'left-out', /out of range/],
    ],
    [
      'a reading of 900 °C among others',
      'UPDATE journal SET body = ?',
      [
        encodeGroup([
          { probeId: 1, tMs: NOW_MS, value: 900 },
          { probeId: 1, tMs: NOW_MS, value: 20 },
        ]),
      ],
      ['journal', 'changed', /1 of 2 left out/],
    ],
    [
      'a reading of the year 2099',
      'UPDATE journal SET body = ?',
      [encodeGroup([{ probeId: 1, tMs: Date.UTC(2099, 0, 1), value: 20 }])],
      ['journal', 'left-out', /later than the clock/],
    ],
    [
      'a group whose checksum is wrong',
      "UPDATE journal SET body = x'010203040506'",
      [],
      ['journal', 'left-out', /checksum/],
    ],
    [
      'an hour of readings of another hour',
      'UPDATE sealed SET block = ? WHERE probe_id = 1 AND hour = ?',
      [encodeBlock(readings(NOW_MS, 20)), HOUR - 4],
      ['sealed', 'left-out', /another hour/],
    ],
    [
      'sums that are not those of the readings',
      `UPDATE sealed SET max_value = 99 WHERE probe_id = 1 AND hour = ${HOUR - 4}`,
      [],
      ['sealed', 'changed', /sums were not those/],
    ],
    [
      'minutes of an hour after the horizon',
      'UPDATE sealed SET block = ? WHERE probe_id = 1 AND hour = ?',
      [minutesOf(HOUR - 4), HOUR - 4],
      ['sealed', 'left-out', /cannot have been dropped/],
    ],
    [
      'a horizon in the future',
      'UPDATE horizon SET counted_hour = 900000, dropped_hour = 900000',
      [],
      ['horizon', 'changed', /moved back/],
    ],
    [
      'sums of exposures that cannot be read',
      "UPDATE settled SET parts = x'00'",
      [],
      ['settled', 'left-out', /cannot be read/],
    ],
    [
      'a probe of a place that is not there',
      "UPDATE probe SET place_id = 'nowhere' WHERE id = 1",
      [],
      ['probe', 'changed', /in none/],
    ],
    [
      'a place archived by what is not there',
      'UPDATE place SET archive_id = 9 WHERE archive_id = 1',
      [],
      ['place', 'changed', /no longer archived/],
    ],
    [
      'a pack that waits of 2 MB',
      'UPDATE waiting_pack SET payload = zeroblob(2000000)',
      [],
      ['waiting_pack', 'left-out', /longer than/],
    ],
    [
      'readings set aside that are not those named',
      'UPDATE set_aside SET count = 9',
      [],
      ['set_aside', 'left-out', /not those it names/],
    ],
  ];
  test.each(cases)('%s', (_name, sql, values, [table, kind, why]) => {
    const from = changed((db) => {
      expect(db.prepare(sql).run(...values).changes).toBeGreaterThan(0);
    });
    const { to, report } = restored(from);
    expect(report.remarks).toContainEqual(
      expect.objectContaining({ table, kind, why: expect.stringMatching(why) }),
    );
    expect(isComplete(report)).toBe(false);
    const counts = report.tables.find((one) => one.table === table);
    expect(kind === 'changed' ? counts?.changed : counts?.leftOut).toBeGreaterThan(0);
    const store = openStore({ file: to, nowMs: NOW_MS });
    expect(store.places.all().length).toBeGreaterThan(0);
    expect(() => [
      store.people.roster(),
      store.alarms.all(),
      store.checks.all(),
      store.mappings.all(),
      store.sheets.all(),
    ]).not.toThrow();
    // a late reading of an hour that was sealed opens it
    const probeId = 1;
    store.transaction(() => store.journal.append({ probeId, tMs: (HOUR - 4) * HOUR_MS + 1, value: 20 }));
    store.close();
  });

  test('what hangs on a row that was left out is left out too, and both are counted', () => {
    const { report } = restored(changed((db) => void db.exec("UPDATE alarm SET body = '{}'")));
    const leftOut = report.tables.filter(({ leftOut: n }) => n > 0).map(({ table }) => table);
    expect(leftOut).toEqual(['alarm', 'alarm_event', 'calling']);
    expect(restoreLines(report)).toContain('  "bench-1.air-over-ceiling" left out: body: id does not fit');
  });

  test('a mark of what a terminal obeys is never said', () => {
    const from = changed(
      (db) => void db.prepare('UPDATE diary_entry SET place_id = ?').run('\u001b[2J\u202Eevil'),
    );
    const said = restoreLines(restored(from).report).join('');
    expect(said).toContain('evil');
    expect(['\u001b', '\u202E'].filter((mark) => said.includes(mark))).toEqual([]);
  });

  test('of sums whose readings are partly there, only those that cannot be counted again are copied', () => {
    const horizon = HOUR - 60 * 24 + 50;
    const day = Math.floor((horizon * HOUR_MS) / 86_400_000);
    const formed = { formula: 2, targetsEdit: 1, sums: Float64Array.of(1, 2) };
    const part = (hour: number) => ({ fromMs: hour * HOUR_MS, toMs: (hour + 1) * HOUR_MS, ...formed });
    const kept = encodeDay([part(horizon - 1)]);
    const from = changed((db) => {
      const both = encodeDay([part(horizon - 1), part(horizon)]);
      db.prepare('UPDATE settled SET day = ?, parts = ?').run(day, both);
    });
    const { to, report } = restored(from);
    expect(report.remarks).toEqual([]);
    expect(Buffer.from(valueIn(to, 'SELECT parts FROM settled') as Uint8Array)).toEqual(Buffer.from(kept));
  });
});
