import type { LoggedVent } from './vent.ts';

/** People write down times roughly: a logged vent this near a recognised one is the same. */
const LOGGED_WITHIN_MS = 15 * 60_000;

export type OpenTime = LoggedVent & { readonly how: 'recognised' | 'logged' };

/**
 * Recognised and logged vents as one list: where they overlap, or are no more than 15 minutes apart, the logged one
 * stands. A logged vent without an end takes the end of the recognised one it meets; one that meets none has no known
 * end, and reaches no further than its start. One that was written down with a tap, at its end as at its start, is the
 * same, but over.
 * @param vents.recognised times, ms since epoch; `toMs` null while open
 * @param vents.logged times as written down, ms since epoch; `toMs` null where no end was written down
 * @returns in order of their start
 * @example mergedVents({ recognised: [{ fromMs: 0, toMs: 9 }], logged: [{ fromMs: 1, toMs: null }] }) // one, 1 to 9, logged
 */
export function mergedVents(vents: {
  readonly recognised: readonly LoggedVent[];
  readonly logged: readonly LoggedVent[];
}): OpenTime[] {
  const own = vents.recognised.filter((one) => !vents.logged.some((logged) => meet(logged, one)));
  const logged = vents.logged.map((one): OpenTime => {
    const ended = one.toMs !== null && one.toMs > one.fromMs;
    const met = ended ? undefined : vents.recognised.find((recognised) => meet(one, recognised));
    return { fromMs: one.fromMs, toMs: (ended ? one.toMs : met?.toMs) ?? one.toMs, how: 'logged' };
  });
  const recognised = own.map(({ fromMs, toMs }): OpenTime => ({ fromMs, toMs, how: 'recognised' }));
  return [...logged, ...recognised].sort((a, b) => a.fromMs - b.fromMs);
}

function meet(logged: LoggedVent, recognised: LoggedVent): boolean {
  const loggedEndMs = logged.toMs ?? logged.fromMs;
  const recognisedEndMs = recognised.toMs ?? Number.POSITIVE_INFINITY;
  return (
    logged.fromMs - LOGGED_WITHIN_MS <= recognisedEndMs && recognised.fromMs - LOGGED_WITHIN_MS <= loggedEndMs
  );
}
