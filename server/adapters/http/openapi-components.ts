import { z } from 'zod';

export type Json = { readonly [key: string]: unknown };

/** JSON Schemas of 2020-12 for one document: what has a name stands once among its components. */
export function createComponents() {
  const schemas: Record<string, unknown> = {};
  const place = (made: Json, suffix: string): Json => {
    const { $schema: _, $defs = {}, ...root } = made;
    for (const [name, schema] of Object.entries($defs as Json)) {
      schemas[`${name}${suffix}`] = pointed(schema, suffix);
    }
    return pointed(root, suffix) as Json;
  };
  return {
    schemas,
    /** of what a caller sends */
    sent: (schema: z.ZodType): Json => place(z.toJSONSchema(schema, { io: 'input' }), 'Request'),
    /** of what is answered; fields may be added to it */
    answered: (schema: z.ZodType): Json => place(opened(z.toJSONSchema(schema)) as Json, ''),
  };
}

/** The same with references to the components. */
function pointed(schema: unknown, suffix: string): unknown {
  return mapped(schema, (key, value) =>
    key === '$ref'
      ? [[key, `${String(value).replace('#/$defs/', '#/components/schemas/')}${suffix}`]]
      : [[key, value]],
  );
}

function opened(schema: unknown): unknown {
  return mapped(schema, (key, value) =>
    key === 'additionalProperties' && value === false ? [] : [[key, value]],
  );
}

function mapped(schema: unknown, change: (key: string, value: unknown) => [string, unknown][]): unknown {
  if (Array.isArray(schema)) return schema.map((one) => mapped(one, change));
  if (typeof schema !== 'object' || schema === null) return schema;
  const entries = Object.entries(schema).flatMap(([key, value]) => change(key, value));
  return Object.fromEntries(entries.map(([key, value]) => [key, mapped(value, change)]));
}
