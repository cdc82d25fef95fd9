import type { Daemon } from '../../../../../server/daemon/daemon.ts';
import type { Instant } from './played.ts';

/** What the daemon says of the place of a story now. */
export function seenIn({ queries, world }: Daemon, of: Pick<Instant, 'nowMs' | 'at'>): Instant {
  if (!world.places.has('bench-1')) return { ...of, state: 'none', harm: null, alarms: [] };
  const { state, harm } = queries.now('bench-1');
  const alarms = queries.alarms().filter(({ placeId }) => placeId === 'bench-1');
  return {
    ...of,
    state,
    harm,
    alarms: alarms.map(({ rule, state: now, suppression, suppressedReason: why, facts }) => ({
      rule,
      active: now === 'unacknowledged' || now === 'acknowledged',
      suppression,
      why,
      asksAtOnce: facts?.kind === 'no-data' && (facts.wholePlace || Boolean(facts.matters)),
    })),
  };
}
