import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';
import { openapi } from '../../../server/adapters/http/openapi.ts';
import { routesFor } from '../../../server/domain/access/routes.ts';

const page = fileURLToPath(new URL('../../../web/', import.meta.url));

/** The routes that views ask about, by the file that asks. */
function asked(): { file: string; route: string }[] {
  return readdirSync(page, { recursive: true, encoding: 'utf8' })
    .filter((file) => file.endsWith('.tsx'))
    .flatMap((file) => {
      const text = readFileSync(`${page}${file}`, 'utf8');
      return [...text.matchAll(/may\('([^']+)'\)|<IfMay route="([^"]+)"/g)].map(([, a = '', b = '']) => ({
        file,
        route: a || b,
      }));
    });
}

test('each route a view asks about is one of the interface: a slip of the pen would hide a button from everybody', () => {
  const paths = Object.entries(openapi['paths'] as Record<string, object>);
  const known = paths.flatMap(([path, item]) => Object.keys(item).map((method) => `${method} ${path}`));
  expect(asked().length).toBeGreaterThan(12);
  expect(asked().filter(({ route }) => !known.includes(route))).toEqual([]);
});

test('who looks may use none of those that change something, who tends acknowledges, logs vents, checks probes and watches devices, who owns all', () => {
  const changing = [...new Set(asked().map(({ route }) => route))].filter(
    (route) => !route.startsWith('get '),
  );
  const [look, tend, own] = (['look', 'tend', 'own'] as const).map((role) => new Set(routesFor(role)));
  expect(changing.filter((route) => look?.has(route))).toEqual([]);
  expect(changing.filter((route) => tend?.has(route)).toSorted()).toEqual([
    'delete /api/v1/places/{id}/vents/{ventId}',
    'post /api/v1/alarms/{id}/acknowledge',
    'post /api/v1/checks',
    'post /api/v1/places/{id}/vents',
    'post /api/v1/probes/{id}/corrections',
    'post /api/v1/waiting/{device}/accept',
    'post /api/v1/watch',
  ]);
  expect(changing.filter((route) => !own?.has(route))).toEqual([]);
});

test('somebody unknown may sign in, and see no place', () => {
  expect(routesFor(null)).toContain('post /api/v1/access/sign-in');
  expect(routesFor(null)).not.toContain('get /api/v1/places');
});
