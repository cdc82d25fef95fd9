import { readdirSync, readFileSync } from 'node:fs';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { z } from 'zod';
import { targetsSchema } from '../../../../../shared/model/targets.ts';
import { SHEET } from '../../support/house.ts';
import { type Interface, startInterface } from '../../support/interface.ts';

/**
 * The parts of OpenAPI 3.1.0 this document uses (specification, recalled: section 4.8): what must be there, and
 * nothing under a name the specification does not have.
 */
const schemaObject = z.record(z.string(), z.unknown());
const media = z.strictObject({ schema: schemaObject });
const content = z.record(z.string().regex(/^[a-z]+\/[a-z.+-]+$/), media);
const parameter = z.strictObject({
  name: z.string().min(1),
  in: z.enum(['query', 'header', 'path', 'cookie']),
  required: z.boolean().optional(),
  schema: schemaObject,
});
const operation = z.strictObject({
  summary: z.string().min(1),
  parameters: z.array(parameter).optional(),
  requestBody: z.strictObject({ required: z.boolean().optional(), content }).optional(),
  responses: z
    .record(
      z.string().regex(/^([1-5]\d\d|[1-5]XX|default)$/),
      z.strictObject({ description: z.string().min(1), content: content.optional() }),
    )
    .refine((responses) => Object.keys(responses).some((status) => status.startsWith('2')), 'no 2xx answer'),
});
const pathItem = z.strictObject({
  parameters: z.array(parameter).optional(),
  ...{ get: operation.optional(), put: operation.optional(), post: operation.optional() },
  ...{ delete: operation.optional(), patch: operation.optional() },
});
const documentSchema = z.strictObject({
  openapi: z.string().regex(/^3\.1\.\d+$/),
  info: z.strictObject({ title: z.string(), version: z.string(), summary: z.string().optional() }),
  paths: z.record(z.string().startsWith('/'), pathItem),
  components: z.strictObject({ schemas: z.record(z.string(), schemaObject) }),
});
type Document = z.infer<typeof documentSchema>;

const METHODS = ['get', 'put', 'post', 'delete', 'patch'] as const;

let page: Interface;
let document: Document;
beforeAll(async () => {
  page = await startInterface();
  document = documentSchema.parse((await page.get('/api/v1/openapi.json')).body);
});
afterAll(() => page.close());

function operationsOf({ paths }: Document) {
  return Object.entries(paths).flatMap(([path, item]) =>
    METHODS.flatMap((method) => {
      const found = item[method];
      return found ? [{ path, method, operation: found, shared: item.parameters ?? [] }] : [];
    }),
  );
}

const ROUTES = new URL('../../../../../server/adapters/http/', import.meta.url);
const MOUNTED: Readonly<Record<string, string>> = {
  ...{ 'app.ts': '', 'routes/places.ts': '/api/v1/places' },
  ...{ 'routes/alarms.ts': '/api/v1/alarms', 'routes/house.ts': '/api/v1' },
  ...{ 'routes/details.ts': '/api/v1/places', 'routes/exchange.ts': '/api/v1' },
  ...{ 'routes/access.ts': '/api/v1/access', 'routes/devices.ts': '/api/v1/devices' },
  ...{ 'routes/checks.ts': '/api/v1' },
  ...{ 'routes/people.ts': '/api/v1', 'routes/answer.ts': '/answer' },
  'routes/hearing.ts': '/api/v1',
  'routes/lifecycle.ts': '/api/v1',
  'routes/status.ts': '',
};

/** Every route the code makes, as the document would write it. */
function routesOfCode(): string[] {
  const routes = Object.entries(MOUNTED).flatMap(([file, mount]) => {
    const text = readFileSync(new URL(file, ROUTES), 'utf8');
    return [...text.matchAll(/(?:routes|app)\.(get|put|post|patch|delete)\(\s*'([^']+)'/g)].map(
      ([, method, path = '']) => `${method} ${mount}${path === '/' ? '' : path}`,
    );
  });
  return routes
    .filter((route) => route !== 'get /{*path}')
    .map((route) => route.replaceAll(/:(\w+)/g, '{$1}'));
}

describe('the OpenAPI document', () => {
  test('names in each of its paths exactly the parameters it declares, all of them required', () => {
    for (const { path, operation: one, shared } of operationsOf(document)) {
      const all = [...shared, ...(one.parameters ?? [])];
      const inPath = all.filter((parameter) => parameter.in === 'path');
      expect(inPath.map(({ name }) => name)).toEqual(
        [...path.matchAll(/\{(\w+)\}/g)].map(([, name]) => name),
      );
      expect(inPath.every(({ required }) => required === true)).toBe(true);
      const keys = all.map((parameter) => `${parameter.in} ${parameter.name}`);
      expect(new Set(keys).size).toBe(keys.length);
    }
  });

  test('has only JSON Schemas of 2020-12 that compile, and references that lead somewhere', () => {
    const ajv = new Ajv2020({ strict: false, validateFormats: false });
    const compiles = (schema: object) => ajv.compile({ ...schema, components: document.components });
    for (const { operation: one, shared } of operationsOf(document)) {
      for (const { schema } of [...shared, ...(one.parameters ?? [])])
        expect(compiles(schema)).toBeTypeOf('function');
      const bodies = [
        one.requestBody?.content,
        ...Object.values(one.responses).map((response) => response.content),
      ];
      for (const { schema } of bodies.flatMap((body) => Object.values(body ?? {}))) {
        expect(compiles(schema)).toBeTypeOf('function');
      }
    }
  });

  test('describes the usual targets as valid, also with a from, and those with 1 unknown key as not', () => {
    const put = document.paths['/api/v1/places/{id}/targets']?.put?.requestBody?.content['application/json'];
    const validate = new Ajv2020({ strict: false, validateFormats: false }).compile(put?.schema ?? {});
    expect(targetsSchema.safeParse(SHEET.targets).success).toBe(true);
    expect(validate(SHEET.targets)).toBe(true);
    expect(validate({ ...SHEET.targets, from: '2026-06-01T00:00:00Z' })).toBe(true);
    expect(validate({ ...SHEET.targets, ceiling: 1 })).toBe(false);
  });

  test('has each route of the code, and no other', () => {
    const files = readdirSync(new URL('routes/', ROUTES)).filter((name) => name !== 'read.ts');
    expect(files.map((name) => `routes/${name}`).toSorted()).toEqual(
      Object.keys(MOUNTED).slice(1).toSorted(),
    );
    const documented = operationsOf(document).map(({ path, method }) => `${method} ${path}`);
    expect(documented.toSorted()).toEqual(routesOfCode().toSorted());
  });

  test('describes addresses that are there: none answers that nothing is', async () => {
    const operations = operationsOf(document);
    expect(operations.length).toBeGreaterThan(20);
    for (const { path, method } of operations) {
      const reply = await page.ask(
        method.toUpperCase(),
        path.replace('{id}', 'nowhere').replace('{ventId}', '1'),
      );
      expect(JSON.stringify(reply.body)).not.toContain('There is nothing at this address');
      expect([200, 202, 400, 404]).toContain(reply.status);
    }
  });
});
