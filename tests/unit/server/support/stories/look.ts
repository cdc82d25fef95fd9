import type { Daemon } from '../../../../../server/daemon/daemon.ts';
import type { Look } from './played.ts';

/** What the daemon says of the place of a story now. */
export function seenIn({ queries, world }: Daemon, of: Pick<Look, 'nowMs' | 'at'>): Look {
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
      wholePlace: facts?.kind === 'no-data' && facts.wholePlace,
      isBlind: facts?.kind === 'no-data' && (facts.matters === 'heat' || facts.matters === 'mist'),
    })),
  };
}
