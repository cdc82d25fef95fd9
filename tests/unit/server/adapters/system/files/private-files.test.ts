import { chmodSync, chownSync, mkdirSync, statSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { makePrivate, privacyLines } from '../../../../../../server/adapters/system/files/private-files.ts';
import { temporaryFolder } from '../../../../../support/folders.ts';

const modeOf = (path: string) => statSync(path).mode & 0o777;

function openFolder(): string {
  const folder = temporaryFolder('private');
  chmodSync(folder, 0o755);
  mkdirSync(join(folder, 'backups'), { mode: 0o755 });
  for (const name of ['strikewell.db', 'strikewell.db-wal', 'link-key.json', 'backups/a.db']) {
    writeFileSync(join(folder, name), '');
    chmodSync(join(folder, name), 0o644);
  }
  return folder;
}

test('a folder of 0755 with 4 files of 0644 becomes 0700 and 0600, named in 1 line, and the 2nd time nothing is done', () => {
  const folder = openFolder();
  const privacy = makePrivate(folder);
  expect([folder, join(folder, 'backups')].map(modeOf)).toEqual([0o700, 0o700]);
  const files = ['strikewell.db', 'strikewell.db-wal', 'link-key.json', 'backups/a.db'];
  expect(files.map((name) => modeOf(join(folder, name)))).toEqual([0o600, 0o600, 0o600, 0o600]);
  expect(privacyLines(privacy)).toEqual({
    changed: `${folder} and 5 more could be read by others on this computer: now only by the user Strikewell runs as`,
    open: null,
  });
  expect(makePrivate(folder)).toEqual({ changed: [], open: [] });
});

test('what a link points at, and a folder of somebody else in it, stay as they are', () => {
  const folder = openFolder();
  const outside = join(temporaryFolder('outside'), 'cert.pem');
  writeFileSync(outside, '');
  chmodSync(outside, 0o644);
  symlinkSync(outside, join(folder, 'cert.pem'));
  mkdirSync(join(folder, 'other'));
  writeFileSync(join(folder, 'other', 'file'), '');
  chmodSync(join(folder, 'other', 'file'), 0o644);
  makePrivate(folder);
  expect([modeOf(outside), modeOf(join(folder, 'other', 'file'))]).toEqual([0o644, 0o644]);
});

/** A folder with 2 files of another owner; who is not root cannot give one away, and looks at the system's own. */
function foreignFolder(): string {
  if (process.getuid?.() !== 0) return '/usr/bin';
  const folder = openFolder();
  for (const name of ['strikewell.db', 'link-key.json']) chownSync(join(folder, name), 65_534, 65_534);
  return folder;
}

test('files of another owner are said in 1 line, and that is all', () => {
  const { open } = privacyLines(makePrivate(foreignFolder()));
  expect(open).toMatch(/^\S+ and \d+ more may be read by others: another user owns it/);
});
