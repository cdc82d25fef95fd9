import { copyFileSync, existsSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, test } from 'vitest';
import { makePushKeys } from '../../../../server/adapters/push/push.ts';
import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import { fileKeep } from '../../../../server/adapters/system/files/files.ts';
import { newSecret } from '../../../../server/adapters/system/new-secret.ts';
import { type Keys, openKeys } from '../../../../server/commands/keys.ts';
import { KEY_NAMES } from '../../../../server/domain/people/keys.ts';
import type { Keep, Store } from '../../../../server/ports.ts';
import { Fault } from '../../../../shared/faults.ts';
import { temporaryFolder } from '../../../support/folders.ts';
import { readableLog } from '../support/hand.ts';
import { START_MS } from '../support/house.ts';

const MAIL = { url: 'smtp://mail.example', from: 'watch@bench.example' };
const newKeys = (): Keys => ({
  'webhook-secret': newSecret(),
  'link-key': newSecret(),
  'push-keys': makePushKeys(),
});

/** A data folder with a record, as an installation has it. */
function folder({ madeMs = START_MS }: { madeMs?: number } = {}) {
  const dataDir = temporaryFolder('keys');
  const file = join(dataDir, 'strikewell.db');
  const log = readableLog();
  const keep = fileKeep(dataDir);
  const pathOf = (name: string) => join(dataDir, `${name}.json`);
  const withStore = <T>(work: (store: Store) => T): T => {
    const store = openStore({ file, nowMs: madeMs });
    try {
      return work(store);
    } finally {
      store.close();
    }
  };
  type Opening = { mail?: typeof MAIL | null; webhookUrl?: string | null; keep?: Keep; broken?: boolean };
  const open = ({ mail = MAIL, webhookUrl = null, broken = false, ...over }: Opening = {}) =>
    withStore((store) => {
      const refusing = () => {
        throw new Fault({ code: 'store-failed', message: 'disk full' });
      };
      const used = broken ? { ...store, transaction: refusing } : store;
      const settings = { dataDir, mail, webhookUrl };
      const keys = openKeys({ store: used, keep: over.keep ?? keep, settings, log, nowMs: START_MS });
      return { keys, gaps: store.restoreGaps.all().map(({ wayId, why }) => [wayId, why]) };
    });
  const writeFiles = (keys: Keys) => {
    for (const name of KEY_NAMES) writeFileSync(pathOf(name), keys[name]);
  };
  const filesLeft = () => KEY_NAMES.filter((name) => existsSync(pathOf(name)));
  return { dataDir, file, log, keep, pathOf, withStore, open, writeFiles, filesLeft };
}

type Folder = ReturnType<typeof folder>;

/** Robin by push, Sam by webhook, Kim by e-mail: ways 1, 2 and 3. */
function withPeople({ withStore }: Folder): void {
  const subscription = { endpoint: 'https://push.example/1', keys: { p256dh: 'a', auth: 'b' } };
  withStore(({ people }) => {
    people.addContactMethod(people.add({ name: 'Robin', quiet: null }).id, {
      kind: 'push',
      name: 'phone',
      subscription,
    });
    people.addContactMethod(people.add({ name: 'Sam', quiet: null }).id, {
      kind: 'webhook',
      url: 'http://x.example/',
    });
    people.addContactMethod(people.add({ name: 'Kim', quiet: null }).id, {
      kind: 'mail',
      address: 'kim@x.example',
    });
  });
}

/** Puts the record of one folder in the place of another's, which is set aside, as a restore does. */
function restoreFrom(from: Folder, to: Folder): void {
  if (existsSync(to.file)) {
    to.withStore(() => undefined);
    copyFileSync(to.file, `${to.file}.replaced-2026-06-01T10-00-00Z`);
  }
  from.withStore(() => undefined);
  copyFileSync(from.file, to.file);
}

/** Takes the keys out of a record, as those of earlier versions are. */
function withoutKeys({ file }: Folder): void {
  const db = new Database(file);
  db.exec('DELETE FROM installation_key');
  db.close();
}

describe('key files of an earlier version', () => {
  test('are moved into the record at the first start, and are the same ever after', () => {
    const here = folder();
    withPeople(here);
    const keys = newKeys();
    here.writeFiles(keys);
    expect(here.open()).toEqual({ keys, gaps: [] });
    expect(here.filesLeft()).toEqual([]);
    expect(here.open()).toEqual({ keys, gaps: [] });
    expect(here.log.lines).toEqual([]);
  });

  test('are lost at no step: whatever fails at whatever step, keys and people are the same at the next start', () => {
    for (let failAt = 0; ; failAt++) {
      const here = folder();
      withPeople(here);
      const keys = newKeys();
      here.writeFiles(keys);
      let step = 0;
      const failing = <A extends unknown[]>(run: (...given: A) => void) => {
        return (...given: A) => {
          if (step++ >= failAt) throw new Error('the power went');
          run(...given);
        };
      };
      const { keep } = here;
      const dying = { read: keep.read, write: failing(keep.write), remove: failing(keep.remove) };
      expect(here.open({ keep: dying }).keys).toEqual(keys);
      expect(here.open()).toEqual({ keys, gaps: [] });
      expect(here.filesLeft()).toEqual([]);
      if (step < failAt) break;
      expect(failAt).toBeLessThan(10);
    }
  });

  test('stay, and are used, while the record cannot be written', () => {
    const here = folder();
    withPeople(here);
    const keys = newKeys();
    here.writeFiles(keys);
    expect(here.open({ broken: true })).toEqual({ keys, gaps: [] });
    expect(here.filesLeft()).toHaveLength(3);
    expect(here.log.lines).toMatchObject([{ level: 'error' }]);
    expect(here.open()).toEqual({ keys, gaps: [] });
  });

  test('that hold other keys than the record are kept under another name, and not used', () => {
    const here = folder();
    const { keys } = here.open();
    const others = newKeys();
    here.writeFiles(others);
    expect(here.open().keys).toEqual(keys);
    expect(here.filesLeft()).toEqual([]);
    const kept = here.pathOf('link-key.unused');
    expect(readFileSync(kept, 'utf8')).toBe(others['link-key']);
    expect(statSync(kept).mode & 0o777).toBe(0o600);
  });

  test('that are empty or damaged are replaced, and whoever knew them is noted', () => {
    const here = folder();
    withPeople(here);
    const keys = newKeys();
    here.writeFiles({ ...keys, 'push-keys': '' });
    const opened = here.open();
    expect(opened.gaps).toEqual([[1, 'push-keys']]);
    expect(opened.keys).toEqual({ ...keys, 'push-keys': opened.keys['push-keys'] });
    expect(here.log.lines.map(({ fields }) => fields['key'])).toContain('push-keys');
  });
});

describe('a restore', () => {
  test('on a new machine brings the keys, and nobody has to set up anything', () => {
    const before = folder();
    const { keys } = before.open();
    withPeople(before);
    const after = folder();
    restoreFrom(before, after);
    expect(after.open()).toEqual({ keys, gaps: [] });
  });

  test('on a machine without mail server and webhook of the settings names what people need of them', () => {
    const before = folder();
    before.open();
    withPeople(before);
    before.withStore(({ outbox }) =>
      outbox.put({
        key: 'a',
        wayId: 0,
        alarmId: null,
        recipient: 'the webhook of the house',
        kind: 'alarm.raised',
        body: '{}',
        createdMs: START_MS,
      }),
    );
    const after = folder();
    restoreFrom(before, after);
    const gaps = [
      [0, 'no-webhook-url'],
      [3, 'no-mail-server'],
    ];
    expect(after.open({ mail: null }).gaps).toEqual(gaps);
    // a further start changes nothing, and settings that are there again close what they are for
    expect(after.open({ mail: null }).gaps).toEqual(gaps);
    expect(after.open({ webhookUrl: 'http://x.example/' }).gaps).toEqual([]);
  });

  test('of an old backup without keys on a new machine names everybody whose contact method needs them', () => {
    const before = folder();
    const { keys } = before.open();
    withPeople(before);
    withoutKeys(before);
    const after = folder();
    restoreFrom(before, after);
    const opened = after.open({ mail: null });
    expect(opened.gaps).toEqual([
      [1, 'push-keys'],
      [2, 'webhook-secret'],
      [3, 'no-mail-server'],
    ]);
    for (const name of KEY_NAMES) expect(opened.keys[name]).not.toBe(keys[name]);
  });

  test('of an old backup without keys in the same place goes on with the keys of the record that was set aside', () => {
    const here = folder();
    const { keys } = here.open();
    withPeople(here);
    const old = folder();
    restoreFrom(here, old);
    withoutKeys(old);
    restoreFrom(old, here);
    expect(here.open()).toEqual({ keys, gaps: [] });
  });

  test('of another installation’s old backup takes none of the keys that were here', () => {
    const here = folder({ madeMs: START_MS - 1 });
    const { keys } = here.open();
    const other = folder();
    other.open();
    withPeople(other);
    withoutKeys(other);
    restoreFrom(other, here);
    const opened = here.open();
    expect(opened.gaps).toEqual([
      [1, 'push-keys'],
      [2, 'webhook-secret'],
    ]);
    expect(opened.keys['webhook-secret']).not.toBe(keys['webhook-secret']);
  });

  test('that brings back older keys uses them, and names those who may have been set up with the newer ones', () => {
    const here = folder();
    const first = here.open();
    withPeople(here);
    const older = folder();
    restoreFrom(here, older);
    withoutKeys(here);
    for (const name of KEY_NAMES) here.keep.remove(name);
    const second = here.open();
    here.withStore(({ restoreGaps }) => {
      for (const { wayId } of restoreGaps.all()) restoreGaps.close(wayId);
    });
    expect(second.keys).not.toEqual(first.keys);
    restoreFrom(older, here);
    expect(here.open()).toEqual({
      keys: first.keys,
      gaps: [
        [1, 'push-keys'],
        [2, 'webhook-secret'],
      ],
    });
  });
});

test('a first start makes keys and has nobody to name', () => {
  const here = folder();
  const { keys, gaps } = here.open({ mail: null });
  expect(gaps).toEqual([]);
  expect(Buffer.from(keys['webhook-secret'], 'base64')).toHaveLength(32);
  expect(keys['link-key']).not.toBe(keys['webhook-secret']);
  expect(here.filesLeft()).toEqual([]);
});
