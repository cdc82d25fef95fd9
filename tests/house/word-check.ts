import { commentsOf, placeOf, type SourceFile, visit } from './sources.ts';

// Taken apart, so that this file does not hold what it forbids.
const UNFINISHED = ['TO.DO', 'FIX.ME', 'XX.X', 'HA.CK'].map((word) => word.replace('.', ''));
const MACHINE_FOLDERS = ['work', 'tmp', 'root', 'home', 'Users', 'var/folders'];
const ESCAPES = ['@ts-.ignore', '@ts-.expect-error', '@ts-.nocheck', 'biome-.ignore'].map((word) =>
  word.replace('.', ''),
);

const TEXT_RULES: readonly { readonly what: string; readonly pattern: RegExp }[] = [
  { what: 'is unfinished', pattern: new RegExp(`\\b(${UNFINISHED.join('|')})\\b`, 'g') },
  {
    what: 'names a path of one machine',
    pattern: new RegExp(`(?<![\\w.~*-])/(${MACHINE_FOLDERS.join('|')})/`, 'g'),
  },
  { what: 'names a registry', pattern: /\bregistry\.[a-z0-9-]+\.[a-z]{2,}/g },
];

/**
 * Words that stand in no file: unfinished work, paths of one machine, registries.
 *
 * @param file any text file
 * @returns one line for each
 */
export function wordFaults(file: SourceFile): string[] {
  return TEXT_RULES.flatMap(({ what, pattern }) =>
    [...file.text.matchAll(pattern)].map((match) => `${placeOf(file, match.index)} ${what}: ${match[0]}`),
  );
}

/**
 * Ways around the checks: `any`, comments that silence them, default exports where names are asked for.
 *
 * @param file TypeScript or JavaScript
 * @returns one line for each
 */
export function escapeFaults(file: SourceFile): string[] {
  const faults = commentsOf(file)
    .filter((comment) => ESCAPES.some((word) => comment.includes(word)))
    .map((comment) => `${file.path} silences a check:${comment}`);
  visit(file, {
    TSAnyKeyword: (node) => faults.push(`${placeOf(file, node.start)} uses any`),
    ExportDefaultDeclaration: (node) => {
      if (!/\.(config|d)\.ts$/.test(file.path))
        faults.push(`${placeOf(file, node.start)} exports without a name`);
    },
  });
  return faults;
}

const LEFT_OUT = /^(skip|skipIf|runIf|todo|only|fails)$/;
const TEST_WORDS = /^(it|test|describe|suite|bench|context|ctx)$/;

/**
 * Tests that are left out, that leave others out, or that cannot fail.
 *
 * @param file a test
 * @returns one line for each
 */
export function testFaults(file: SourceFile): string[] {
  const faults: string[] = [];
  visit(file, {
    MemberExpression: ({ object, property, start }) => {
      const isTest = object.type === 'Identifier' && TEST_WORDS.test(object.name);
      const name = property.type === 'Identifier' ? property.name : '';
      if (isTest && LEFT_OUT.test(name)) faults.push(`${placeOf(file, start)} leaves tests out`);
    },
    ObjectPattern: ({ properties, start }) => {
      const takesSkip = properties.some(
        (one) => one.type === 'Property' && 'name' in one.key && one.key.name === 'skip',
      );
      if (takesSkip) faults.push(`${placeOf(file, start)} leaves tests out`);
    },
    CallExpression: ({ callee, arguments: [first], start }) => {
      if (callee.type !== 'Identifier') return;
      if (/^(xit|xtest|xdescribe|fit|fdescribe)$/.test(callee.name))
        faults.push(`${placeOf(file, start)} leaves tests out`);
      if (callee.name === 'expect' && first?.type === 'Literal')
        faults.push(`${placeOf(file, start)} cannot fail`);
    },
  });
  return faults;
}
