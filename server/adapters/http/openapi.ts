import { z } from 'zod';
import type { Json } from '../../../shared/json-schema.ts';
import { CONFIRMED_MINUTES } from '../../../shared/model/people/roles.ts';
import type { Route } from '../../../shared/routes/route.ts';
import { ROUTES } from '../../../shared/routes/routes.ts';
import { LIVE_NO_LONGER } from '../../../shared/wire/live-version.ts';
import { PROBLEM_MEDIA_TYPE, problemSchema } from '../../../shared/wire/problem.ts';
import { createComponents } from './openapi-components.ts';

const components = createComponents();
const CONFIRM_WORDS = `confirm-needed until the password was given within the last ${CONFIRMED_MINUTES} minutes, by POST /api/v1/access/confirm or a sign-in; not-allowed`;
const text = { schema: { type: 'string' } };

let made: Json | null = null;

/**
 * The description of the interface, version 1, that is served with it; all of it follows from the table of routes.
 * It is made when it is first asked for, which takes as long as all else of a start.
 */
export function openapi(): Json {
  made ??= describe();
  return made;
}

const describe = (): Json => ({
  openapi: '3.1.0',
  info: {
    title: 'Strikewell',
    version: '1',
    summary: 'The climate in which cuttings root',
    description:
      'Until an owner password is set, everybody on this computer may use everything. Then each route asks for a sign-in ' +
      'and the role that stands at it as x-role: look, tend or own, each of which may do what the one before it may. ' +
      'Fields may be added to answers at any time.',
  },
  servers: [{ url: '/', description: 'This installation' }],
  security: [{ session: [] }, { secureSession: [] }],
  paths: pathsOf(Object.entries<Route>(ROUTES)),
  components: {
    schemas: components.schemas,
    securitySchemes: {
      session: { type: 'apiKey', in: 'cookie', name: 'strikewell', description: 'Over plain HTTP' },
      secureSession: { type: 'apiKey', in: 'cookie', name: '__Host-strikewell', description: 'Over HTTPS' },
      metricsToken: { type: 'http', scheme: 'bearer', description: 'STRIKEWELL_METRICS_TOKEN' },
    },
  },
});

function pathsOf(routes: readonly (readonly [string, Route])[]): Json {
  const byPath = Map.groupBy(routes, ([name]) => name.slice(name.indexOf(' ') + 1));
  const items = [...byPath].map(([path, ofPath]) => [
    path,
    Object.fromEntries(ofPath.map(([name, route]) => [name.split(' ')[0], operationOf(path, route)])),
  ]);
  return Object.fromEntries(items);
}

function operationOf(path: string, route: Route): Json {
  const parameters = [...pathParameters(path, route), ...queryParameters(route)];
  return {
    operationId: route.id,
    summary: route.summary,
    tags: [tagOf(path)],
    'x-role': route.role,
    ...securityOf(path, route),
    ...(parameters.length > 0 ? { parameters } : {}),
    ...requestBodyOf(route),
    ...(route.frames === undefined ? { responses: responsesOf(route) } : upgradeOf(route.frames)),
  };
}

/** A websocket has no place of its own in OpenAPI: what is sent on it stands in an extension. */
function upgradeOf(frames: z.ZodType): Json {
  const problem = { [PROBLEM_MEDIA_TYPE]: { schema: components.answered(problemSchema) } };
  return {
    'x-websocket': {
      description: `Each text from the daemon is one message; the other side sends none. It closes with ${LIVE_NO_LONGER} on who may no longer listen, with 1001 when the daemon stops.`,
      message: components.answered(frames),
    },
    responses: {
      101: { description: 'A websocket from here on (RFC 6455); see x-websocket' },
      403: { description: 'Who asks may not listen; without a body' },
      426: { description: 'Asked for without an upgrade to a websocket', content: problem },
      503: { description: 'Too many pages are open; without a body' },
    },
  };
}

function securityOf(path: string, { role }: Route): Json {
  if (path === '/metrics')
    return { security: [{ session: [] }, { secureSession: [] }, { metricsToken: [] }] };
  return role === 'anyone' ? { security: [] } : {};
}

/** The first step of the path below /api/v1. */
function tagOf(path: string): string {
  return /^\/(?:api\/v1\/)?([\w-]+)/.exec(path)?.[1] ?? 'other';
}

function pathParameters(path: string, { params = {} }: Route): Json[] {
  return [...path.matchAll(/\{(\w+)\}/g)].map(([, name = '']) => ({
    name,
    in: 'path',
    required: true,
    schema: components.sent(params[name] ?? z.string()),
  }));
}

function queryParameters({ query }: Route): Json[] {
  if (query === undefined) return [];
  return Object.entries(query.shape).map(([name, schema]) => ({
    name,
    in: 'query',
    required: !(schema as z.ZodType).safeParse(undefined).success,
    schema: components.sent(schema as z.ZodType),
  }));
}

function requestBodyOf({ body, uploads }: Route): Json {
  if (uploads !== undefined) return { requestBody: { required: true, content: filesOf(uploads) } };
  if (body === undefined) return {};
  return { requestBody: { required: true, content: jsonOf(components.sent(body)) } };
}

function responsesOf(route: Route): Json {
  const { summary, answer, media, faultMedia, status, confirmed, others = {} } = route;
  const content = {
    ...(media === undefined ? {} : filesOf(media)),
    ...(answer === undefined ? {} : jsonOf(components.answered(answer))),
  };
  const isEmpty = Object.keys(content).length === 0;
  const other = Object.entries(others).map(([code, schema]) => [
    code,
    {
      description: Number(code) < 400 ? 'Not all is done yet' : 'It is not so',
      content: { ...filesOf(faultMedia ?? []), ...jsonOf(components.answered(schema)) },
    },
  ]);
  const problem = {
    description: 'What was wrong',
    content: {
      ...filesOf(faultMedia ?? []),
      [PROBLEM_MEDIA_TYPE]: { schema: components.answered(problemSchema) },
    },
  };
  return {
    [isEmpty ? 204 : (status ?? 200)]: {
      description: summary,
      ...(isEmpty ? {} : { content }),
    },
    ...Object.fromEntries(other),
    ...(confirmed ? { 403: { ...problem, description: CONFIRM_WORDS } } : {}),
    '4XX': problem,
    '5XX': problem,
  };
}

function jsonOf(schema: Json): Json {
  return { 'application/json': { schema } };
}

function filesOf(types: readonly string[]): Json {
  return Object.fromEntries(types.map((type) => [type, text]));
}
