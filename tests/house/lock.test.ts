import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { packagesWithEngines, projectLock } from './lock-check.ts';
import { ROOT } from './sources.ts';

test('no package of the lock file names an engine, so that npm ci warns of none ("npm run lock" takes them out)', () => {
  expect(packagesWithEngines(projectLock())).toEqual([]);
});

test('a package that names one is found', () => {
  const packages = { '': {}, 'node_modules/a': { engines: { node: '>=22' } }, 'node_modules/b': {} };
  expect(packagesWithEngines({ packages })).toEqual(['node_modules/a']);
});

test('no package runs a script when it is installed: what is compiled comes compiled', () => {
  expect(readFileSync(`${ROOT}/.npmrc`, 'utf8').split('\n')).toContain('ignore-scripts=true');
});
