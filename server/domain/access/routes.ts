import type { Role } from '../../../shared/model/roles.ts';
import type { Needed } from '../../../shared/routes/route.ts';
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

type Rule = { readonly method: string; readonly pattern: RegExp; readonly needed: Needed };

const ORDER = ['anyone', 'look', 'tend', 'own'] as const satisfies readonly Needed[];

const RULES: readonly Rule[] = ORDER.flatMap((needed) =>
  namesFor(needed).map((route) => ruleOf(route, needed)),
);

function ruleOf(route: string, needed: Needed): Rule {
  const [method = '', path = ''] = route.split(' ');
  const pattern = path.replaceAll(/[.]/g, '\\.').replaceAll(/\{\w+\}/g, '[^/]+');
  return { method, needed, pattern: new RegExp(`^${pattern}$`) };
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
