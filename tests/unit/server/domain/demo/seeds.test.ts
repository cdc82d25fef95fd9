import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { z } from 'zod';

const seedFile = z.object({
  about: z.string().startsWith('invented data'),
  values: z.record(z.string(), z.unknown()),
  sources: z.record(z.string(), z.string().min(3)),
});

const seedsUrl = new URL('../../../../../seeds/', import.meta.url);
const read = (name: string): unknown => JSON.parse(readFileSync(new URL(name, seedsUrl), 'utf8'));

/** Paths of all leaves, arrays counted as one. */
function leaves(value: unknown, path: string): string[] {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return [path];
  return Object.entries(value).flatMap(([key, inner]) => leaves(inner, path === '' ? key : `${path}.${key}`));
}

describe('the seeds of the demo', () => {
  it.each(['bench', 'dome', 'case', 'weather', 'events'])(
    'mark every one of the constants in %s.json',
    (name) => {
      const { values, sources } = seedFile.parse(read(`demo/${name}.json`));
      const paths = leaves(values, '');
      const marked = (path: string, source: string): boolean =>
        path === source || path.startsWith(`${source}.`);
      expect(paths.filter((path) => !Object.keys(sources).some((source) => marked(path, source)))).toEqual(
        [],
      );
      expect(Object.keys(sources).filter((source) => !paths.some((path) => marked(path, source)))).toEqual(
        [],
      );
    },
  );

  it('are each named in the README with source, licence and unit', () => {
    const readme = readFileSync(new URL('README.md', seedsUrl), 'utf8');
    for (const name of ['places', 'events', 'weather', 'bench', 'dome', 'case', 'batches'])
      expect(readme).toContain(`\`demo/${name}.json\``);
    expect(readme).toContain('invented data');
  });
});
