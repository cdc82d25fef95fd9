import { Ajv2020 } from 'ajv/dist/2020.js';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { z } from 'zod';
import { targetsSchema } from '../../../../../shared/model/targets.ts';
import type { Route } from '../../../../../shared/routes/route.ts';
import { ROUTES } from '../../../../../shared/routes/routes.ts';
import { TARGET_SHEET_FILE } from '../../support/house.ts';
import { type Interface, startInterface } from '../../support/interface.ts';
import { problemWith } from '../../support/problem.ts';

/**
 * The parts of OpenAPI 3.1.0 this document uses (specification, recalled: section 4.8): what must be there, and
 * nothing under a name the specification does not have; names that begin with x- are free.
 */
const schemaObject = z.record(z.string(), z.unknown());
const media = z.strictObject({ schema: schemaObject });
const content = z.record(z.string().regex(/^[a-z]+\/[a-z.+-]+$/), media);
const security = z.array(z.record(z.string(), z.array(z.string())));
const parameter = z.strictObject({
  name: z.string().min(1),
  in: z.enum(['query', 'header', 'path', 'cookie']),
  required: z.boolean().optional(),
  schema: schemaObject,
});
const operation = z.strictObject({
  operationId: z.string().regex(/^[a-z][A-Za-z]+$/),
  summary: z.string().min(1),
  tags: z.array(z.string().min(1)).length(1),
  'x-role': z.enum(['anyone', 'look', 'tend', 'own']),
  security: security.optional(),
  parameters: z.array(parameter).optional(),
  requestBody: z.strictObject({ required: z.boolean().optional(), content }).optional(),
  'x-websocket': z.strictObject({ description: z.string().min(1), message: schemaObject }).optional(),
  responses: z
    .record(
      z.string().regex(/^([1-5]\d\d|[1-5]XX|default)$/),
      z.strictObject({ description: z.string().min(1), content: content.optional() }),
    )
    .refine((responses) => Object.keys(responses).some((status) => /^(2|101)/.test(status)), 'no 2xx answer'),
});
const METHODS = ['get', 'put', 'post', 'delete', 'patch'] as const;
const pathItem = z.strictObject(
  Object.fromEntries(METHODS.map((method) => [method, operation.optional()])) as Record<
    (typeof METHODS)[number],
    z.ZodOptional<typeof operation>
  >,
);
const securityScheme = z.discriminatedUnion('type', [
  z.strictObject({
    type: z.literal('apiKey'),
    in: z.enum(['query', 'header', 'cookie']),
    name: z.string().min(1),
    description: z.string().optional(),
  }),
  z.strictObject({
    type: z.literal('http'),
    scheme: z.string().min(1),
    description: z.string().optional(),
  }),
]);
const documentSchema = z.strictObject({
  openapi: z.string().regex(/^3\.1\.\d+$/),
  info: z.strictObject({
    title: z.string(),
    version: z.string(),
    summary: z.string().optional(),
    description: z.string().optional(),
  }),
  servers: z.array(z.strictObject({ url: z.string().min(1), description: z.string().optional() })).min(1),
  security,
  paths: z.record(z.string().startsWith('/'), pathItem),
  components: z.strictObject({
    schemas: z.record(z.string().regex(/^[A-Za-z0-9._-]+$/), schemaObject),
    securitySchemes: z.record(z.string(), securityScheme),
  }),
});
type Document = z.infer<typeof documentSchema>;

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
      return found ? [{ path, method, operation: found }] : [];
    }),
  );
}

const ajv = new Ajv2020({ strict: false, validateFormats: false });
const compiled = (schema: object) => ajv.compile({ ...schema, components: document.components });

describe('the OpenAPI document', () => {
  test('names in each of its paths exactly the parameters it declares, all of them required', () => {
    for (const { path, operation: one } of operationsOf(document)) {
      const all = one.parameters ?? [];
      const inPath = all.filter((declared) => declared.in === 'path');
      expect(inPath.map(({ name }) => name)).toEqual(
        [...path.matchAll(/\{(\w+)\}/g)].map(([, name]) => name),
      );
      expect(inPath.every(({ required }) => required === true)).toBe(true);
      const keys = all.map((declared) => `${declared.in} ${declared.name}`);
      expect(new Set(keys).size).toBe(keys.length);
    }
  });

  test('has only JSON Schemas of 2020-12 that compile, and references that lead somewhere', () => {
    for (const { operation: one } of operationsOf(document)) {
      for (const { schema } of one.parameters ?? []) expect(compiled(schema)).toBeTypeOf('function');
      const bodies = [
        one.requestBody?.content,
        ...Object.values(one.responses).map((response) => response.content),
      ];
      for (const { schema } of bodies.flatMap((body) => Object.values(body ?? {}))) {
        expect(compiled(schema)).toBeTypeOf('function');
      }
    }
    for (const schema of Object.values(document.components.schemas))
      expect(compiled(schema)).toBeTypeOf('function');
    const references = [...JSON.stringify(document).matchAll(/"\$ref":"([^"]+)"/g)].map(([, to = '']) => to);
    const named = Object.keys(document.components.schemas).map((name) => `#/components/schemas/${name}`);
    expect(references.filter((to) => !named.includes(to))).toEqual([]);
    expect(named.filter((name) => !references.includes(name))).toEqual([]);
  });

  test('describes the usual targets as valid, also with a from, and those with 1 unknown key as not', () => {
    const put = document.paths['/api/v1/places/{id}/targets']?.put?.requestBody?.content['application/json'];
    const validate = compiled(put?.schema ?? {});
    expect(targetsSchema.safeParse(TARGET_SHEET_FILE.targets).success).toBe(true);
    expect(validate(TARGET_SHEET_FILE.targets)).toBe(true);
    expect(validate({ ...TARGET_SHEET_FILE.targets, from: '2026-06-01T00:00:00Z' })).toBe(true);
    expect(validate({ ...TARGET_SHEET_FILE.targets, ceiling: 1 })).toBe(false);
  });

  test('describes answers to which fields may be added', async () => {
    const get = document.paths['/api/v1/places']?.get?.responses['200']?.content?.['application/json'];
    await page.house.report([{ n: 'air/temperature', u: 'Cel', v: 24.5 }]);
    const { body } = await page.get('/api/v1/places');
    const validate = compiled(get?.schema ?? {});
    expect([validate(body), validate.errors]).toEqual([true, null]);
    expect(validate({ ...(body as object), added: 1 })).toBe(true);
    expect(validate({ places: [{}] })).toBe(false);
  });

  test('each operation has an id of its own, and security schemes that are described', () => {
    const operations = operationsOf(document).map(({ operation: one }) => one);
    const ids = operations.map(({ operationId }) => operationId);
    expect(new Set(ids).size).toBe(ids.length);
    const asked = [document.security, ...operations.flatMap((one) => (one.security ? [one.security] : []))];
    const names = asked.flat().flatMap((one) => Object.keys(one));
    const known = Object.keys(document.components.securitySchemes);
    expect(names.filter((name) => !known.includes(name))).toEqual([]);
    const open = operations.filter((one) => one.security?.length === 0).map((one) => one['x-role']);
    expect(new Set(open)).toEqual(new Set(['anyone']));
  });

  test('describes each answer: a schema that asks for something, other media, or nothing at all', () => {
    const vague = operationsOf(document).flatMap(({ path, method, operation: one }) =>
      Object.entries(one.responses).flatMap(([status, { content: given }]) => {
        const isVague = Object.values(given ?? {}).some(
          ({ schema }) => Object.keys(schema).length === 0 || JSON.stringify(schema) === '{"type":"object"}',
        );
        const hasNone = status === '204' || (one['x-websocket'] !== undefined && status !== '426');
        return isVague || (given === undefined) !== hasNone ? [`${method} ${path} ${status}`] : [];
      }),
    );
    expect(vague).toEqual([]);
  });

  test('describes addresses that are there: none answers that nothing is', async () => {
    const operations = operationsOf(document);
    expect(operations.length).toBe(Object.keys(ROUTES).length);
    for (const { path, method } of operations) {
      const reply = await page.ask(
        method.toUpperCase(),
        path.replace('{id}', 'nowhere').replace('{ventId}', '1'),
      );
      expect(JSON.stringify(reply.body)).not.toContain('There is nothing at this address');
      expect([200, 202, 400, 404, 426]).toContain(reply.status);
    }
  });
});

describe('the live feed in it', () => {
  const live = () => document.paths['/live']?.get;

  test('is an upgrade to a websocket, each text of which is one of 9 messages by their type', () => {
    expect(live()).toMatchObject({
      'x-role': 'look',
      'x-websocket': { message: { $ref: '#/components/schemas/LiveMessage' } },
      parameters: [{ name: 'parts', in: 'query', required: false, schema: { enum: ['1'] } }],
    });
    expect(Object.keys(live()?.responses ?? {})).toEqual(['101', '403', '426', '503']);
    const message = compiled(live()?.['x-websocket']?.message ?? {});
    const beat = { v: 1, seq: 7, type: 'beat', atMs: 1_780_308_000_000 };
    expect(message(beat)).toBe(true);
    expect(message({ ...beat, added: true })).toBe(true);
    expect(message({ ...beat, seq: 0 })).toBe(false);
    expect(message({ ...beat, type: 'beast' })).toBe(false);
    const union = document.components.schemas['LiveMessage']?.['oneOf'];
    expect(union).toHaveLength(9);
  });

  test('answers 426 and names the upgrade to who asks for it as a page', async () => {
    const reply = await page.get('/live?parts=1');
    expect(reply).toMatchObject({
      status: 426,
      headers: { upgrade: 'websocket' },
      body: problemWith('websocket-needed'),
    });
  });
});

describe('the table of routes', () => {
  const routes = Object.entries<Route>(ROUTES);

  test.each(routes)('%s has a role, an id, and an answer unless it changes something', (name, route) => {
    expect(name).toMatch(/^(get|put|post|patch|delete) \/[\w./{}-]*$/);
    expect(['anyone', 'look', 'tend', 'own']).toContain(route.role);
    expect(route.id).toMatch(/^[a-z][A-Za-z]+$/);
    expect(route.summary).toMatch(/^\p{Lu}.*[^.]$/u);
    if (route.answer === undefined && route.media === undefined && route.frames === undefined)
      expect(name).toMatch(/^(delete|post|patch|put) /);
    const parameters = [...name.matchAll(/\{(\w+)\}/g)].map(([, parameter]) => parameter);
    expect(Object.keys(route.params ?? {}).filter((one) => !parameters.includes(one))).toEqual([]);
  });
});
