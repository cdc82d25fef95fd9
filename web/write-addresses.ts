import { writeFileSync } from 'node:fs';
import { ROUTES } from '../shared/routes/routes.ts';

/**
 * What the page needs of the table of routes while it runs, as the text of `addresses.ts`. The table itself brings its
 * schemas, and half as much again to the script of the page.
 */
export function addressesText(): string {
  const rows = Object.entries(ROUTES).map(([name, { id }]) => `  ${id}: '${name}',`);
  return [
    "import type { RouteNames } from '../shared/routes/call.ts';",
    '',
    '/** Method and path of each route by its id. Made by "npm run contracts" from the table of routes. */',
    'export const ADDRESSES = {',
    ...rows,
    '} as const satisfies RouteNames;',
    '',
  ].join('\n');
}

if (import.meta.main) writeFileSync(new URL('addresses.ts', import.meta.url), addressesText());
