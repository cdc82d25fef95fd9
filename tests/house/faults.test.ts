import { existsSync, readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { OPERATOR_FAULTS, REFUSAL_FAULTS } from '../../shared/faults.ts';
import { documentedCodes, provokedCodes } from './fault-check.ts';
import { codeFiles, projectPaths, ROOT } from './sources.ts';

const codes = [...Object.keys(REFUSAL_FAULTS), ...Object.keys(OPERATOR_FAULTS)];
const guide = `${ROOT}DEVELOPERS.md`;

test('the fault codes in the code are those in DEVELOPERS.md, each once', () => {
  const documented = documentedCodes(existsSync(guide) ? readFileSync(guide, 'utf8') : '');
  expect(documented.toSorted()).toEqual(codes.toSorted());
});

test('some test or invalid example provokes each fault code', () => {
  const files = codeFiles().filter(
    ({ path }) => path.startsWith('tests/') && !path.startsWith('tests/house/'),
  );
  const examplePaths = projectPaths().filter((path) =>
    path.startsWith('firmware-contracts/v1/examples/invalid/'),
  );
  const provoked = provokedCodes({ codes, files, examplePaths });
  expect(codes.filter((code) => !provoked.includes(code))).toEqual([]);
});

test('reads 2 codes from the tables under the heading and none from the next chapter', () => {
  const markdown = [
    '# Guide',
    '| `before` | x |',
    '## Fault codes',
    '### Packs',
    '| code | meaning |',
    '|---|---|',
    '| `one` | first |',
    '### Operator',
    '| `two` | second |',
    '## Decisions',
    '| `three` | third |',
  ].join('\n');
  expect(documentedCodes(markdown)).toEqual(['one', 'two']);
});

test('of 4 codes finds the one in a test and the one with an example, not the one in a comment', () => {
  const provoked = provokedCodes({
    codes: ['in-test', 'in-example', 'in-comment', 'nowhere'],
    files: [{ path: 'tests/a.test.ts', text: "expect(code).toBe('in-test'); // 'in-comment'" }],
    examplePaths: ['firmware-contracts/v1/examples/invalid/in-example--some-why.json'],
  });
  expect(provoked).toEqual(['in-test', 'in-example']);
});
