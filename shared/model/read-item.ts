import type { z } from 'zod';
import { Fault } from '../faults.ts';

/**
 * An item of a file, checked against its schema.
 * @throws Fault `bad-request` naming the first field that does not fit
 */
export function readItem<S extends z.ZodType>(schema: S, item: unknown): z.output<S> {
  const parsed = schema.safeParse(item);
  if (parsed.success) return parsed.data;
  const { path, message } = parsed.error.issues[0] ?? { path: [], message: 'it does not fit' };
  const where = path.length === 0 ? 'It' : `"${path.join('.')}"`;
  throw new Fault({ code: 'bad-request', message: `${where} is not right: ${message}.` });
}
