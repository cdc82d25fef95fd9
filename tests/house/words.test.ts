import { expect, test } from 'vitest';
import { codeFiles, textFiles } from './sources.ts';
import { escapeFaults, testFaults, wordFaults } from './word-check.ts';

const isTest = (path: string): boolean => path.startsWith('tests/');
/** Joins what must not stand whole in this file either. */
const joined = (...parts: readonly string[]): string => parts.join('');

test('no file holds unfinished work, a path of one machine or a registry', () => {
  expect(textFiles().flatMap(wordFaults)).toEqual([]);
});

test('no code goes around the checks with any, a silencing comment or a default export', () => {
  expect(codeFiles().flatMap(escapeFaults)).toEqual([]);
});

test('no test is left out, leaves others out or cannot fail', () => {
  expect(
    codeFiles()
      .filter(({ path }) => isTest(path))
      .flatMap(testFaults),
  ).toEqual([]);
});

test.each([
  joined('// TO', 'DO: later'),
  joined('<!-- FIX', 'ME -->'),
  joined('see "/wo', 'rk/main"'),
  joined("readFile('/tm", "p/a')"),
  joined('(/ho', 'me/anna/data)'),
  joined('https://registry', '.npmjs.org/zod'),
])('finds the forbidden words in: %s', (text) => {
  expect(wordFaults({ path: 'a.md', text })).toHaveLength(1);
});

test.each([
  'https://example.org/home/a',
  'data/tmp/a',
  '#!/usr/bin/env bash',
  'to do',
  '/api/v1/places/root/now',
])('finds nothing in: %s', (text) => {
  expect(wordFaults({ path: 'a.md', text })).toEqual([]);
});

test.each([
  joined('const a: an', 'y = 1;'),
  joined('f(a as an', 'y);'),
  joined('type A = Record<string, an', 'y>;'),
  joined('// @ts-', 'ignore'),
  joined('/* biome-', 'ignore lint: why */'),
  'export default f;',
])('finds the way around the checks in: %s', (text) => {
  expect(escapeFaults({ path: 'server/a.ts', text })).toHaveLength(1);
});

test('any as a word in a text or a name is no escape', () => {
  expect(escapeFaults({ path: 'a.ts', text: "const anyOf = 'any'; // any" })).toEqual([]);
});

test.each([
  joined('test.sk', "ip('a', f);"),
  joined('describe.on', "ly('a', f);"),
  joined('it.to', "do('a');"),
  joined('test.sk', "ipIf(a)('b', f);"),
  "test('a', ({ skip }) => skip());",
  "test('a', (context) => context.skip());",
  "xit('a', f);",
  'expect(true).toBe(true);',
])('finds the test that is left out or cannot fail in: %s', (text) => {
  expect(testFaults({ path: 'tests/a.test.ts', text })).toHaveLength(1);
});
