import { z } from 'zod';
import { Fault } from '../../../../shared/faults.ts';

const instant = z.iso.datetime({ offset: true });

/**
 * An RFC 3339 time as ms since epoch.
 * @throws Fault `bad-request` naming the parameter
 */
export function readInstant(name: string, value: unknown): number {
  const parsed = instant.safeParse(
    typeof value === 'string' ? value.replace(/t/i, 'T').replace(/z$/i, 'Z') : value,
  );
  if (parsed.success) return Date.parse(parsed.data);
  const message = `"${name}" must be an RFC 3339 time with an offset, such as 2026-03-01T06:00:00Z; it is ${shown(value)}.`;
  throw new Fault({ code: 'bad-request', message, details: { field: name } });
}

/**
 * The span of a query, `from` and `to` in RFC 3339.
 * @throws Fault `bad-request`
 */
export function readSpan(query: Readonly<Record<string, unknown>>): { fromMs: number; toMs: number } {
  return { fromMs: readInstant('from', query['from']), toMs: readInstant('to', query['to']) };
}

/**
 * A request body, checked against its schema.
 * @throws Fault `bad-request` naming the first field that does not fit, and all others in `details`
 */
export function readBody<T>(schema: z.ZodType<T>, body: unknown): T {
  const parsed = schema.safeParse(body ?? {});
  if (parsed.success) return parsed.data;
  const issues = parsed.error.issues.map((issue) => ({
    field: issue.path.join('.'),
    message: issue.message,
  }));
  const first = issues[0] ?? { field: '', message: 'it does not fit' };
  const where = first.field === '' ? 'The body' : `"${first.field}"`;
  const details = Object.fromEntries(
    issues.map((issue) => [issue.field === '' ? 'body' : issue.field, issue.message]),
  );
  throw new Fault({ code: 'bad-request', message: `${where} is not right: ${first.message}.`, details });
}

function shown(value: unknown): string {
  return value === undefined ? 'missing' : JSON.stringify(value).slice(0, 60);
}

const numberSchema = z
  .string()
  .regex(/^\d{1,15}$/)
  .transform(Number);

/**
 * Reads what is named by its number in an address.
 * @param text as it stands in the address
 * @param listed where such numbers are listed, as a sentence
 * @throws Fault `not-found`
 */
export function readNumber(text: string, listed: string): number {
  const parsed = numberSchema.safeParse(text);
  if (parsed.success) return parsed.data;
  throw new Fault({ code: 'not-found', message: `There is no "${text.slice(0, 40)}"; ${listed}` });
}
