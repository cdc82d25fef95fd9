import type { Role } from '../../../shared/model/roles.ts';

/** Whom a route answers: `anyone` needs no account. */
export type Needed = Role | 'anyone';

/** What each role may do besides what the one before it may. A route that stands nowhere is refused to everybody. */
const ROUTES: Readonly<Record<Needed, readonly string[]>> = {
  anyone: [
    'get /healthz',
    'get /readyz',
    'get /api/v1/access',
    'post /api/v1/access/sign-in',
    'post /api/v1/access/sign-in/passkey',
    'post /api/v1/access/sign-out',
    // the token of a link is the permission for what it does
    'get /answer/{token}',
    'post /answer/{token}',
  ],
  look: [
    // or with the token of STRIKEWELL_METRICS_TOKEN
    'get /metrics',
    'get /api/v1/openapi.json',
    'get /api/v1/places',
    'get /api/v1/places/{id}',
    'get /api/v1/places/{id}/now',
    'get /api/v1/places/{id}/targets',
    'get /api/v1/places/{id}/exposures',
    'get /api/v1/places/{id}/export',
    'get /api/v1/places/{id}/bands',
    'get /api/v1/places/{id}/mist',
    'get /api/v1/places/{id}/vents',
    'get /api/v1/places/{id}/thermal-time',
    'get /api/v1/places/{id}/alarms/past',
    'get /api/v1/places/{id}/explain',
    'get /api/v1/places/{id}/series',
    'get /api/v1/alarms',
    'get /api/v1/alarms/quality',
    'get /api/v1/alarms/{id}/events',
    'get /api/v1/refused',
    'get /api/v1/probes',
    'get /api/v1/probes/findings',
    'get /api/v1/devices',
    'get /api/v1/waiting',
    'get /api/v1/archive',
    'get /api/v1/checks',
    'get /api/v1/checks/{id}',
    'get /api/v1/house',
    'get /api/v1/clock',
    'get /api/v1/backups',
    'put /api/v1/access/password',
    'post /api/v1/access/password-check',
    'post /api/v1/access/confirm',
    'get /api/v1/access/passkeys',
    'post /api/v1/access/passkeys',
    'post /api/v1/access/passkeys/offer',
    'delete /api/v1/access/passkeys/{id}',
    'get /api/v1/access/sessions',
    'delete /api/v1/access/sessions/{id}',
  ],
  tend: [
    'post /api/v1/places/{id}/vents',
    'delete /api/v1/places/{id}/vents/{ventId}',
    'get /api/v1/alarms/{id}/messages',
    'post /api/v1/checks',
    'delete /api/v1/checks/{id}',
    'post /api/v1/checks/{id}/begin',
    'post /api/v1/checks/{id}/take',
    'post /api/v1/probes/{id}/corrections',
    'post /api/v1/corrections/{id}/withdraw',
    'post /api/v1/corrections/{id}/restore',
    'put /api/v1/probes/{id}/check-due',
    'post /api/v1/alarms/{id}/acknowledge',
    'post /api/v1/alarms/{id}/shelve',
    'post /api/v1/alarms/{id}/unshelve',
    'post /api/v1/alarms/{id}/reset',
    'post /api/v1/alarms/{id}/out-of-service',
    'post /api/v1/alarms/{id}/in-service',
    'post /api/v1/waiting/{device}/accept',
    'post /api/v1/waiting/{device}/ignore',
    'post /api/v1/waiting/{device}/restore',
    'get /api/v1/watch',
    'post /api/v1/watch',
    'get /api/v1/watch/unread',
  ],
  own: [
    'get /api/v1/people',
    'post /api/v1/people',
    'put /api/v1/people/{id}',
    'delete /api/v1/people/{id}',
    'post /api/v1/people/{id}/ways',
    'put /api/v1/people/{id}/ways/{wayId}',
    'delete /api/v1/people/{id}/ways/{wayId}',
    'post /api/v1/people/{id}/ways/{wayId}/test',
    'post /api/v1/people/{id}/test',
    'post /api/v1/tests/{id}/confirm',
    'put /api/v1/weekly-test',
    'put /api/v1/ladder',
    'get /api/v1/house/webhook-secret',
    'get /api/v1/mappings',
    'post /api/v1/mappings',
    'put /api/v1/mappings/{id}',
    'delete /api/v1/mappings/{id}',
    'get /api/v1/mappings/listen',
    'post /api/v1/mappings/listen',
    'delete /api/v1/mappings/listen',
    'post /api/v1/mappings/try',
    'patch /api/v1/places/{id}',
    'put /api/v1/places/{id}/targets',
    'get /api/v1/import',
    'post /api/v1/import',
    'post /api/v1/backups',
    'post /api/v1/demo',
    'delete /api/v1/demo',
    'post /api/v1/devices',
    'patch /api/v1/devices/{device}',
    'post /api/v1/devices/{device}/secret',
    // what stops a watch, or takes a record away, is for who owns the house
    'get /api/v1/places/{id}/contents',
    'post /api/v1/places/{id}/archive',
    'delete /api/v1/places/{id}',
    'get /api/v1/probes/{id}/contents',
    'post /api/v1/probes/{id}/archive',
    'delete /api/v1/probes/{id}',
    'get /api/v1/devices/{device}/contents',
    'post /api/v1/devices/{device}/archive',
    'delete /api/v1/devices/{device}',
    'post /api/v1/archive/{id}/restore',
    'delete /api/v1/archive/{id}',
    'put /api/v1/access/owner',
    'get /api/v1/access/accounts',
    'post /api/v1/access/accounts',
    'patch /api/v1/access/accounts/{id}',
    'delete /api/v1/access/accounts/{id}',
    'get /api/v1/access/events',
    'get /api/v1/access/device-login',
    'put /api/v1/access/device-login',
  ],
};

/**
 * What changes who may, or shows a secret: the password is asked for again. A session of somebody else that is ended
 * is looked at where it is known whose it is.
 */
const CONFIRMED = [
  'post /api/v1/access/accounts',
  'patch /api/v1/access/accounts/{id}',
  'delete /api/v1/access/accounts/{id}',
  'post /api/v1/access/passkeys',
  'post /api/v1/access/passkeys/offer',
  'delete /api/v1/access/passkeys/{id}',
  'put /api/v1/access/device-login',
  'post /api/v1/devices',
  'post /api/v1/devices/{device}/secret',
  'get /api/v1/house/webhook-secret',
];

/**
 * The routes that answer somebody.
 * @param role of who asks, or null for somebody unknown
 * @returns method and path of each, its parameters in braces
 */
export function routesFor(role: Role | null): string[] {
  return ORDER.filter((needed) => mayUse(role, needed)).flatMap((needed) => ROUTES[needed]);
}

type Pattern = { readonly method: string; readonly pattern: RegExp };
type Rule = Pattern & { readonly needed: Needed };

const ORDER = ['anyone', 'look', 'tend', 'own'] as const satisfies readonly Needed[];

const RULES: readonly Rule[] = ORDER.flatMap((needed) =>
  ROUTES[needed].map((route) => ({ ...patternOf(route), needed })),
);

const CONFIRMED_RULES: readonly Pattern[] = CONFIRMED.map(patternOf);

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
