import { describe, expect, test } from 'vitest';
import { openapi } from '../../../../../server/adapters/http/openapi.ts';
import {
  mayUse,
  type Needed,
  neededFor,
  needsConfirming,
} from '../../../../../server/domain/access/routes.ts';
import type { Role } from '../../../../../shared/model/people/roles.ts';

type Operation = { readonly responses?: Readonly<Record<string, { readonly description: string }>> };

const METHODS = /^(get|put|post|patch|delete)$/;

/** Each operation the served document describes, with something in the place of its parameters. */
function documented(): { method: string; path: string }[] {
  return Object.entries(openapi()['paths'] as Record<string, object>).flatMap(([path, item]) =>
    Object.keys(item)
      .filter((key) => METHODS.test(key))
      .map((method) => ({ method, path: path.replaceAll(/\{\w+\}/g, 'some-1') })),
  );
}

test('each route of the OpenAPI document has a role', () => {
  expect(documented().length).toBeGreaterThan(40);
  expect(documented().filter((route) => neededFor(route) === null)).toEqual([]);
});

test('whatever changes something needs tend or own, but for signing in and out and what is one’s own', () => {
  const open = documented()
    .filter(({ method }) => method !== 'get')
    .filter((route) => mayUse('look', neededFor(route) ?? 'own'))
    .map(({ method, path }) => `${method} ${path}`);
  expect(open.toSorted()).toEqual([
    'delete /api/v1/access/passkeys/some-1',
    'delete /api/v1/access/sessions/some-1',
    // a link that was sent is the permission for what it does
    'post /answer/some-1',
    'post /api/v1/access/confirm',
    'post /api/v1/access/passkeys',
    'post /api/v1/access/passkeys/offer',
    'post /api/v1/access/password-check',
    'post /api/v1/access/sign-in',
    'post /api/v1/access/sign-in/passkey',
    'post /api/v1/access/sign-out',
    'put /api/v1/access/password',
  ]);
});

test('what asks for the password again is marked so in the OpenAPI document, and nothing else', () => {
  const paths = Object.entries(openapi()['paths'] as Record<string, Record<string, Operation>>);
  const marked = paths.flatMap(([path, item]) =>
    Object.entries(item).flatMap(([method, operation]) =>
      operation.responses?.['403']?.description.startsWith('confirm-needed')
        ? [{ method, path: path.replaceAll(/\{\w+\}/g, 'some-1') }]
        : [],
    ),
  );
  expect(marked).toHaveLength(12);
  expect(documented().filter(needsConfirming)).toEqual(expect.arrayContaining(marked));
  expect(documented().filter(needsConfirming)).toHaveLength(marked.length);
});

describe('a route that is listed nowhere answers nobody', () => {
  test.each([
    ['get', '/api/v1/new-thing'],
    ['delete', '/api/v1/places'],
    ['options', '/api/v1/places'],
    ['get', '/api/v1/places/'],
    ['get', '/API/v1/places'],
    ['get', '/api/v1/places/a/b/now'],
    ['get', '/api/v1/openapi-json'],
  ])('%s %s', (method, path) => {
    expect(neededFor({ method, path })).toBeNull();
  });
});

test.each([
  ['GET', '/api/v1/places/sill/now', ['look', 'tend', 'own']],
  ['HEAD', '/api/v1/places/sill/now', ['look', 'tend', 'own']],
  ['POST', '/api/v1/alarms/sill.no-data/acknowledge', ['tend', 'own']],
  ['POST', '/api/v1/alarms/a%2Fb/shelve', ['tend', 'own']],
  ['POST', '/api/v1/places/sill/vents', ['tend', 'own']],
  ['PUT', '/api/v1/places/sill/targets', ['own']],
  ['POST', '/api/v1/import', ['own']],
  ['PUT', '/api/v1/access/device-login', ['own']],
  ['POST', '/api/v1/access/sign-in', ['nobody', 'look', 'tend', 'own']],
] as const)('%s %s is for %j', (method, path, who) => {
  const needed: Needed | null = neededFor({ method, path });
  const may = (role: Role | null) => needed !== null && mayUse(role, needed);
  const all = ['nobody', 'look', 'tend', 'own'] as const;
  expect(all.filter((role) => may(role === 'nobody' ? null : role))).toEqual(who);
});
