import { readFileSync } from 'node:fs';
import { posix } from 'node:path';
import { expect, test } from 'vitest';
import { ROOT } from './sources.ts';

/** What is imported to run, types left aside. */
const VALUE_IMPORT =
  /^(?:import|export) (?!type\b)[^;]*?from '([^']+)'|^import '([^']+)'|import\('([^']+)'\)/gm;

const importsToRun = (text: string): string[] =>
  [...text.matchAll(VALUE_IMPORT)].map(([, a, b, c]) => a ?? b ?? c ?? '');

/** Each file the page runs, with the way to it. */
function reached(start: string): ReadonlyMap<string, readonly string[]> {
  const ways = new Map<string, readonly string[]>([[start, [start]]]);
  for (const [path, way] of ways) {
    if (!/\.tsx?$/.test(path)) continue;
    for (const target of importsToRun(readFileSync(`${ROOT}${path}`, 'utf8'))) {
      const to = target.startsWith('.') ? posix.join(posix.dirname(path), target) : target;
      if (!ways.has(to)) ways.set(to, [...way, to]);
    }
  }
  return ways;
}

test('the page runs no schema: zod and all that is checked with it would make its script a third bigger', () => {
  const ways = reached('web/main.tsx');
  expect(ways.size).toBeGreaterThan(150);
  expect(ways.get('zod')?.join(' → ')).toBeUndefined();
});

test('an import of a type is none to run, one of a value is, also over two lines and later', () => {
  const text =
    "import type { A } from './a.ts';\nimport {\n  b,\n} from './b.ts';\nconst c = import('./c.ts');\n";
  expect(importsToRun(text)).toEqual(['./b.ts', './c.ts']);
});
