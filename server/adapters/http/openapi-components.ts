import { z } from 'zod';
import { type Json, mapped, schemaOfSent } from '../../../shared/json-schema.ts';

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
    answered: (schema: z.ZodType): Json => place(schemaOfSent(schema), ''),
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
