import { z } from 'zod';

export type Json = { readonly [key: string]: unknown };

/** JSON Schema, draft 2020-12, of what is sent; fields may be added to it at any time. */
export function schemaOfSent(schema: z.ZodType): Json {
  return opened(z.toJSONSchema(schema)) as Json;
}

function opened(schema: unknown): unknown {
  return mapped(schema, (key, value) =>
    key === 'additionalProperties' && value === false ? [] : [[key, value]],
  );
}

/** A JSON value with the entries of each of its objects changed, the outer ones first. */
export function mapped(
  value: unknown,
  change: (key: string, value: unknown) => [string, unknown][],
): unknown {
  if (Array.isArray(value)) return value.map((one) => mapped(one, change));
  if (typeof value !== 'object' || value === null) return value;
  const entries = Object.entries(value).flatMap(([key, one]) => change(key, one));
  return Object.fromEntries(entries.map(([key, one]) => [key, mapped(one, change)]));
}
