import type { Role } from '../../../shared/model/people/roles.ts';
import type { Needed, Route } from '../../../shared/routes/route.ts';
import { ROUTES } from '../../../shared/routes/routes.ts';

export type { Needed } from '../../../shared/routes/route.ts';

/** The routes for which each role stands in the table; what it may do besides what the one before it may. */
const NEEDING = Map.groupBy(
  Object.entries(ROUTES).map(([name, { role }]) => ({ name, role })),
  ({ role }) => role,
);

/**
 * The routes that answer somebody.
 * @param role of who asks, or null for somebody unknown
 * @returns method and path of each, its parameters in braces
 */
export function routesFor(role: Role | null): string[] {
  return ORDER.filter((needed) => mayUse(role, needed)).flatMap(namesFor);
}

function namesFor(needed: Needed): string[] {
  return (NEEDING.get(needed) ?? []).map(({ name }) => name);
}

type Pattern = { readonly method: string; readonly pattern: RegExp };
type Rule = Pattern & { readonly needed: Needed };

const ORDER = ['anyone', 'look', 'tend', 'own'] as const satisfies readonly Needed[];

const RULES: readonly Rule[] = ORDER.flatMap((needed) =>
  namesFor(needed).map((route) => ({ ...patternOf(route), needed })),
);

/** Whether somebody else's session may be ended is decided where it is known whose it is. */
const CONFIRMED_RULES: readonly Pattern[] = Object.entries<Route>(ROUTES)
  .filter(([, { confirmed }]) => confirmed === true)
  .map(([name]) => patternOf(name));

function patternOf(route: string): Pattern {
  const [method = '', path = ''] = route.split(' ');
  const pattern = path.replaceAll(/[.]/g, '\\.').replaceAll(/\{\w+\}/g, '[^/]+');
  return { method, pattern: new RegExp(`^${pattern}$`) };
}

/**
 * Whom a route answers; of several that fit, the one that asks most counts.
 * @param request its method, and its path without the query, as it was sent
 * @returns `null` for a route whose role is not stated: it answers nobody
 */
export function neededFor({ method, path }: { method: string; path: string }): Needed | null {
  const asked = method.toLowerCase();
  const like = asked === 'head' ? 'get' : asked;
  const fitting = RULES.filter((rule) => rule.method === like && rule.pattern.test(path));
  return fitting.reduce<Needed | null>((most, { needed }) => stricter(most, needed), null);
}

/**
 * Whether a route asks for the password again, unless it was given of late.
 * @param request its method, and its path without the query, as it was sent
 */
export function needsConfirming({ method, path }: { method: string; path: string }): boolean {
  const asked = method.toLowerCase();
  const like = asked === 'head' ? 'get' : asked;
  return CONFIRMED_RULES.some((rule) => rule.method === like && rule.pattern.test(path));
}

/**
 * Whether a token of a program opens a route: it reads what who looks sees, but for who may and who is signed in.
 * @param request its method, and its path without the query, as it was sent
 */
export function isReadable({ method, path }: { method: string; path: string }): boolean {
  const reads = ['get', 'head'].includes(method.toLowerCase());
  const needed = neededFor({ method, path });
  return reads && !path.startsWith('/api/v1/access/') && needed !== null && mayUse('look', needed);
}

function stricter(a: Needed | null, b: Needed): Needed {
  return a !== null && ORDER.indexOf(a) > ORDER.indexOf(b) ? a : b;
}

/**
 * Whether somebody may use a route.
 * @param role of who asks, or null for somebody unknown
 * @param needed what the route asks for
 */
export function mayUse(role: Role | null, needed: Needed): boolean {
  return ORDER.indexOf(needed) <= ORDER.indexOf(role ?? 'anyone');
}
