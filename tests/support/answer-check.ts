import type { z } from 'zod';
import type { Route } from '../../shared/routes/route.ts';
import { ROUTES } from '../../shared/routes/routes.ts';
import { PROBLEM_MEDIA_TYPE, problemSchema } from '../../shared/wire/problem.ts';

export type SeenAnswer = {
  readonly method: string;
  /** with or without a query */
  readonly path: string;
  readonly status: number;
  readonly contentType: string | null;
  /** read as JSON; undefined when there is none */
  readonly body: unknown;
};

const PATTERNS = Object.entries<Route>(ROUTES)
  .map(([name, route]) => {
    const [method = '', path = ''] = name.split(' ');
    const pattern = new RegExp(`^${path.replaceAll('.', '\\.').replaceAll(/\{\w+\}/g, '[^/]+')}$`);
    return { name, route, method, pattern, parameters: path.split('{').length };
  })
  .toSorted((a, b) => a.parameters - b.parameters);

/** The route of the table that answers a request, the one with fewest parameters; null for none. */
export function routeFor({ method, path }: { readonly method: string; readonly path: string }) {
  const [bare = ''] = path.split('?');
  const asked = method.toLowerCase();
  return PATTERNS.find((one) => one.method === asked && one.pattern.test(bare)) ?? null;
}

/**
 * Holds an answer of the interface to what the table of routes says of it.
 * @returns what is wrong with it, or null; null too for what is none of the interface
 */
export function answerFault(seen: SeenAnswer): string | null {
  const found = routeFor(seen);
  if (found === null || seen.body === undefined) return null;
  const { route, name } = found;
  const { status, contentType, body } = seen;
  const fault = (words: string) =>
    `${name} answered ${status}: ${words}: ${JSON.stringify(body)?.slice(0, 2_000)}`;
  if (route.media !== undefined && route.answer === undefined && status < 400) return null;
  const other = route.others?.[status];
  const schema = other ?? (status < 400 ? route.answer : problemSchema);
  if (schema === undefined) return fault('the table says that it answers nothing');
  if (other === undefined && status < 400 && status !== (route.status ?? 200))
    return fault(`the table says ${route.status ?? 200}`);
  const wanted = status >= 400 && other === undefined ? PROBLEM_MEDIA_TYPE : 'application/json';
  if (contentType?.split(';')[0] !== wanted) return fault(`${contentType} in place of ${wanted}`);
  return mismatch(schema, body, fault);
}

function mismatch(schema: z.ZodType, body: unknown, fault: (words: string) => string): string | null {
  const read = schema.safeParse(body);
  if (read.success) return null;
  return fault(read.error.issues.map(({ path, message }) => `${path.join('.')} ${message}`).join('; '));
}

/** The same, thrown. @throws Error */
export function checkAnswer(seen: SeenAnswer): void {
  const fault = answerFault(seen);
  if (fault !== null) throw new Error(fault);
}

/** JSON of a text; undefined when it is none. */
export function jsonIn(text: string): unknown {
  try {
    return text === '' ? undefined : JSON.parse(text);
  } catch {
    return undefined;
  }
}
