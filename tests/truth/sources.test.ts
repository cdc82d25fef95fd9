import { readdirSync, readFileSync } from 'node:fs';
import { expect, test } from 'vitest';

const root = new URL('../../', import.meta.url);
const bibliography = readFileSync(new URL('shared/sources.md', root), 'utf8');
const listed = [...bibliography.matchAll(/^- \[([A-Z0-9-]+)\] .+\.$/gm)].map(([, key]) => key ?? '');

const used = ['shared', 'server', 'web', 'firmware-contracts'].flatMap((folder) =>
  readdirSync(new URL(folder, root), { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.ts'))
    .flatMap((name) => {
      const text = readFileSync(new URL(`${folder}/${name}`, root), 'utf8');
      return [...text.matchAll(/@source \[([^\]]+)\]/g)].map(([, key]) => ({
        file: `${folder}/${name}`,
        key,
      }));
    }),
);

test('12 or more sources are listed, one key a line, in order and none twice', () => {
  expect(listed.length).toBeGreaterThanOrEqual(12);
  expect(listed).toEqual([...new Set(listed)].toSorted());
  expect(listed).toHaveLength(bibliography.split('\n').filter((line) => line.startsWith('- ')).length);
});

test('each of 20 or more @source keys in the code is in sources.md', () => {
  expect(used.length).toBeGreaterThanOrEqual(20);
  expect(used.filter(({ key }) => key !== undefined && !listed.includes(key))).toEqual([]);
});
