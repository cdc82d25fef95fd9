import { expect, test } from 'vitest';
import { exportFaults } from './export-check.ts';
import { codeFiles } from './sources.ts';

/** What only tests call, and why it is there all the same. */
const PERMITTED: Readonly<Record<string, string>> = {
  'firmware-contracts/generate.ts contractFiles':
    'a program; a test compares what it writes with what is committed',
  'firmware-contracts/generate.ts knownProbesHeader': 'likewise',
  'firmware-contracts/generate.ts withProbesTable': 'likewise',
  'web/write-addresses.ts addressesText': 'likewise',
  'server/domain/demo/dome.ts isVented': 'the truth of the demo, with which recognised vents are compared',
  'shared/climate/leaf-film.ts forcedVapourConductanceMolM2S':
    'a part of a formula with published values of its own',
  'shared/climate/leaf-film.ts freeVapourConductanceMolM2S': 'likewise',
  'shared/statistics/student.ts studentT95': 'its values are a published table',
  'server/adapters/system/log.ts logTo':
    'the lines themselves, which otherwise go to the standard error stream',
  'server/adapters/system/log.ts prioritised': 'likewise',
  'shared/conversions.ts celsiusFromKelvin': 'how a unit is read, whose example a test runs',
};

test('each exported name has a user in the product, but for those permitted, each with its reason', () => {
  const faults = exportFaults(codeFiles());
  const nameOf = (fault: string) => fault.split(' is used by ')[0] ?? '';
  expect(faults.filter((fault) => !Object.hasOwn(PERMITTED, nameOf(fault)))).toEqual([]);
  expect(Object.keys(PERMITTED).filter((name) => !faults.map(nameOf).includes(name))).toEqual([]);
});

const WITH = [
  ['shared/b.ts', "import { a } from './a.ts';"],
  ['shared/b.ts', "import type { a } from './a.ts';"],
  ['shared/b.ts', "export { a } from './a.ts';"],
  ['shared/b.ts', "import * as all from './a.ts';"],
  ['shared/b.ts', "const { a } = await import('./a.ts');"],
  ['shared/b.ts', "type A = import('./a.ts').a;"],
] as const;

test.each(WITH)('from %s, %s is a use', (path, text) => {
  const faults = exportFaults([
    { path: 'shared/a.ts', text: 'export function a() {}' },
    { path, text },
  ]);
  expect(faults.filter((fault) => fault.startsWith('shared/a.ts'))).toEqual([]);
});

test('what is passed on by export * is used where it is taken from', () => {
  const files = [
    { path: 'shared/a.ts', text: 'export function a() {}\nexport function b() {}' },
    { path: 'shared/all.ts', text: "export * from './a.ts';" },
    { path: 'shared/user.ts', text: "import { a } from './all.ts';" },
  ];
  expect(exportFaults(files)).toEqual(['shared/a.ts b is used by nobody']);
});

test.each([
  ['export function f() {}', "import { f } from '../shared/a.ts';", 1],
  ['export const MOST = 3;', "import { MOST } from '../shared/a.ts';", 0],
  ['export type F = number;', "import type { F } from '../shared/a.ts';", 0],
  ['export const MOST = 3;', '', 1],
  ['export type F = number;', '', 1],
])('"%s" with a test that says "%s" gives %i faults', (text, test, count) => {
  const files = [
    { path: 'shared/a.ts', text },
    { path: 'tests/a.test.ts', text: test },
  ];
  expect(exportFaults(files)).toHaveLength(count);
});
