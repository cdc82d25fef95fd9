import type { Request, Response, Router } from 'express';
import type { z } from 'zod';
import { Fault } from '../../../shared/faults.ts';
import type { Output } from '../../../shared/model/output.ts';
import type {
  AnswerOf,
  Method,
  ReadBody,
  ReadParams,
  ReadQuery,
  Route,
  Routes,
} from '../../../shared/routes/route.ts';

/** What was asked, read by the schemas of its route. */
type RouteRequest<Name extends string, R> = {
  readonly params: ReadParams<Name, R>;
  readonly query: ReadQuery<R>;
  readonly body: ReadBody<R>;
  readonly request: Request;
  readonly response: Response;
};

type OtherAnswer<R> = R extends { others: Readonly<Record<number, infer S extends z.ZodType>> }
  ? Output<S>
  : never;
/** What is sent; of a route that writes its answer itself, or has none, nothing is. */
type Answer<R> = R extends { media: readonly string[] }
  ? unknown
  : R extends { answer: z.ZodType }
    ? AnswerOf<R> | OtherAnswer<R>
    : unknown;

/** What answers each route of a table. One with `media` writes its answer itself. */
export type Handlers<T extends Routes> = {
  readonly [Name in keyof T & string]: (
    asked: RouteRequest<Name, T[Name]>,
  ) => Answer<T[Name]> | Promise<Answer<T[Name]>>;
};

type Handler = (asked: RouteRequest<string, Route>) => unknown;

/** Makes the routes of a table answer. */
export function addRoutes<const T extends Routes>(router: Router, table: T, handlers: Handlers<T>): void {
  for (const [name, route] of inOrder(table)) {
    const [method, path] = name.split(' ') as [Method, string];
    const handle = handlers[name as keyof T & string] as unknown as Handler;
    router[method](path.replaceAll(/\{(\w+)\}/g, ':$1'), async (request, response) => {
      const answer = await handle({
        params: readParams(route, request.params),
        query: route.query === undefined ? {} : readQuery(route.query, request.query),
        body: route.body === undefined ? undefined : readBody(route.body, request.body),
        request,
        response,
      } as RouteRequest<string, Route>);
      if (route.media === undefined) send(response, route, answer);
    });
  }
}

/** A path without a parameter before one that has it in the same place. */
function inOrder(table: Routes): [string, Route][] {
  return Object.entries(table).toSorted(([a], [b]) =>
    a.replaceAll('{', '~') < b.replaceAll('{', '~') ? -1 : 1,
  );
}

function send(response: Response, route: Route, answer: unknown): void {
  if (route.answer === undefined) return void response.status(204).end();
  if (route.status !== undefined) response.status(route.status);
  response.json(answer);
}

function readParams({ params = {} }: Route, given: Readonly<Record<string, string | string[] | undefined>>) {
  const read = Object.entries(params).map(([name, schema]) => {
    const text = String(given[name]);
    const parsed = schema.safeParse(text);
    if (parsed.success) return [name, parsed.data];
    const listed = parsed.error.issues[0]?.message ?? 'see /api/v1/openapi.json.';
    throw new Fault({ code: 'not-found', message: `There is no "${text.slice(0, 40)}"; ${listed}` });
  });
  return { ...given, ...Object.fromEntries(read) };
}

/**
 * Parameters of a query, checked against their schema.
 * @throws Fault `bad-request` naming the first that does not fit
 */
function readQuery(schema: z.ZodObject, query: unknown): unknown {
  const parsed = schema.safeParse(query);
  if (parsed.success) return parsed.data;
  const { path, message } = parsed.error.issues[0] ?? { path: [], message: 'it does not fit' };
  const field = path.join('.');
  const where = field === '' ? 'The query' : `"${field}"`;
  throw new Fault({ code: 'bad-request', message: sentence(where, message), details: { field } });
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
  const details = Object.fromEntries(
    issues.map((issue) => [issue.field === '' ? 'body' : issue.field, issue.message]),
  );
  throw new Fault({
    code: 'bad-request',
    message: sentence(first.field === '' ? 'The body' : `"${first.field}"`, first.message),
    details: { field: first.field, ...details },
  });
}

/** What a value must be follows its name; else it is said that it is not right. */
function sentence(where: string, message: string): string {
  return message.startsWith('must be ') ? `${where} ${message}.` : `${where} is not right: ${message}.`;
}
