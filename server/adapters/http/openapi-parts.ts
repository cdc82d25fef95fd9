import { z } from 'zod';
import { CONFIRMED_MINUTES } from '../../../shared/model/roles.ts';

export type Json = { readonly [key: string]: unknown };

export const json = (schema: Json): Json => ({ content: { 'application/json': { schema } } });
export const answer = (description: string, status = 200): Json => ({
  [status]: { description, ...json({ type: 'object' }) },
  ...faults,
});
export const faults: Json = {
  '4XX': { description: 'What was wrong', ...json({ $ref: '#/components/schemas/Error' }) },
};
export const query = (name: string, schema: Json, required = false): Json => ({
  name,
  in: 'query',
  required,
  schema,
});
export const instant = { type: 'string', format: 'date-time' };
export const id = { name: 'id', in: 'path', required: true, schema: { type: 'string' } };
export const span = [query('from', instant, true), query('to', instant, true)];
export const get = (summary: string, parameters: Json[] = []): Json => ({
  summary,
  parameters,
  responses: answer(summary),
});
export const act = (summary: string, body: Json | null, status = 200): Json => ({
  summary,
  ...(body ? { requestBody: { required: true, ...json(body) } } : {}),
  responses: answer(summary, status),
});
export const text = { schema: { type: 'string' } };
export const page = (summary: string): Json => ({
  summary,
  responses: {
    200: { description: summary, content: { 'text/html': text } },
    '4XX': { description: 'Why the link does nothing', content: { 'text/html': text } },
  },
});
export const schemaOf = (schema: z.ZodType): Json => z.toJSONSchema(schema, { io: 'input' });

/** An order that asks for the password again, unless it was given of late. */
export const confirmed = (operation: Json): Json => ({
  ...operation,
  responses: {
    ...(operation['responses'] as Json),
    403: {
      description: `confirm-needed until the password was given within the last ${CONFIRMED_MINUTES} minutes, by POST /api/v1/access/confirm or a sign-in; not-allowed`,
      ...json({ $ref: '#/components/schemas/Error' }),
    },
  },
});
