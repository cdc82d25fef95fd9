import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { z } from 'zod';
import { crowdedFolders, oversizeOf, ratchetFaults } from './size-check.ts';
import { codeFiles, projectPaths } from './sources.ts';

const ratchet = readFileSync(new URL('ratchet.json', import.meta.url), 'utf8');
const known = z.record(z.string(), z.number().int()).parse(JSON.parse(ratchet));

const functionOf = (lines: number): string => `function f() {\n${'  g();\n'.repeat(lines - 2)}}\n`;

test('no file is longer than 300 lines and no function longer than 70, but those noted, which only shrink', () => {
  expect(ratchetFaults({ now: oversizeOf(codeFiles()), known })).toEqual([]);
});

test('in no folder of the product more than 15 files stand side by side', () => {
  expect(crowdedFolders(projectPaths())).toEqual({});
});

test('a folder of 16 files is found, one of 15 and one of tests are not', () => {
  const many = (folder: string, n: number) => Array.from({ length: n }, (_, i) => `${folder}/${i}.ts`);
  const paths = [...many('web/full', 16), ...many('web/room', 15), ...many('tests/unit', 30)];
  expect(crowdedFolders(paths)).toEqual({ 'web/full': 16 });
});

test('a file of 301 lines is found, one of 300 is not', () => {
  const files = [
    { path: 'long.ts', text: 'f();\n'.repeat(301) },
    { path: 'short.ts', text: 'f();\n'.repeat(300) },
  ];
  expect(oversizeOf(files)).toEqual({ 'long.ts': 301 });
});

test('a function of 71 lines is found, one of 70 is not', () => {
  const files = [
    { path: 'long.ts', text: functionOf(71) },
    { path: 'short.ts', text: functionOf(70) },
  ];
  expect(oversizeOf(files)).toEqual({ 'long.ts function f() {': 71 });
});

test('a chapter of 75 lines in describe() is no long function, but a test of 75 lines is', () => {
  const body = '  g();\n'.repeat(73);
  const files = [
    { path: 'chapter.test.ts', text: `describe('a', () => {\n${body}});\n` },
    { path: 'test.test.ts', text: `test('a', () => {\n${body}});\n` },
  ];
  expect(oversizeOf(files)).toEqual({ "test.test.ts test('a', () => {": 75 });
});

test('the ratchet reports what is new, what grew by 1 line, what shrank and what is mended', () => {
  const faults = ratchetFaults({
    now: { new: 301, grown: 311, shrunk: 309, same: 310 },
    known: { grown: 310, shrunk: 310, same: 310, mended: 310 },
  });
  expect(faults.map((fault) => fault.split(':')[0])).toEqual(['new', 'grown', 'shrunk', 'mended']);
});
