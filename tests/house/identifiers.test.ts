import { expect, test } from 'vitest';
import { nameFaults } from './identifier-check.ts';
import { codeFiles, projectPaths } from './sources.ts';

/** Files and folders whose names carry a private word; wire names have none. */
const PRIVATE_PATH =
  /(^|[/-])(told|heard|hearing|teller|urge|dropper|ladder|rung|doors?|doorway|doorkeeper|desk|look|looks|patience|way|halves|gathered|quieten)([-./]|$)/;

test('no name in the code has a private word for a standard thing', () => {
  const files = codeFiles().filter(({ path }) => !path.startsWith('tests/house/') && !path.endsWith('.js'));
  expect(files.flatMap(nameFaults)).toEqual([]);
});

test('no file or folder is named by such a word', () => {
  expect(projectPaths().filter((path) => PRIVATE_PATH.test(path))).toEqual([]);
});

test.each([
  'const teller = f();',
  'function lookOver() {}',
  'type Ladder = number;',
  'const a = { toldLast: 1 };',
  'class A { #toldLately() {} }',
  'type Taken = { a: number };',
  'const runsOutMs = 1;',
  'const isByDesign = true;',
])('finds the private name in %s', (text) => {
  expect(nameFaults({ path: 'server/a.ts', text })).toHaveLength(1);
});

test.each([
  'const publisher = f();',
  "const role = 'look';",
  'const row = { way_id: 1, told: 2 };',
  'type TakenReading = { a: number };',
  '// what a probe told',
])('finds none in %s, which is plain, wire or no name', (text) => {
  expect(nameFaults({ path: 'server/a.ts', text })).toEqual([]);
});
