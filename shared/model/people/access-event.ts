/**
 * What is kept of signing in and of changes of who may, by class. Each class has its own limit of rows, so that one
 * who guesses passwords cannot push out what was changed.
 */
export const ACCESS_EVENTS = {
  'sign-in': ['signed-in', 'passkey-asked'],
  refusal: ['sign-in-refused', 'passkey-refused', 'confirm-refused', 'too-many-attempts'],
  change: [
    'owner-set',
    'owner-reset',
    'account-added',
    'account-removed',
    'role-changed',
    'password-changed',
    'password-reset',
    'session-ended',
    'passkey-added',
    'passkey-removed',
    'passkeys-removed',
    'token-added',
    'token-removed',
    'device-added',
    'device-secret',
    'device-state',
    'device-login',
    'device-accepted',
    'device-ignored',
    'device-unignored',
    'device-archived',
    'device-deleted',
    'device-restored',
  ],
} as const;

export type AccessEventClass = keyof typeof ACCESS_EVENTS;
export const ACCESS_EVENT_KINDS = [
  ...ACCESS_EVENTS['sign-in'],
  ...ACCESS_EVENTS.refusal,
  ...ACCESS_EVENTS.change,
] as const;
export type AccessEventKind = (typeof ACCESS_EVENT_KINDS)[number];

/** The class of a kind. */
export function classOf(kind: AccessEventKind): AccessEventClass {
  const has = (kinds: readonly string[]) => kinds.includes(kind);
  if (has(ACCESS_EVENTS['sign-in'])) return 'sign-in';
  return has(ACCESS_EVENTS.refusal) ? 'refusal' : 'change';
}

/** Most rows kept of each class; the oldest give way. */
export const MAX_EVENTS_OF_A_CLASS = 1_000;
