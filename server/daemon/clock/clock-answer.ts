import type { ClockAnswer } from '../../../shared/wire/clock.ts';
import type { Store } from '../../ports.ts';
import type { World } from '../world/world.ts';
import type { ClockWatch } from './clock-watch.ts';

/** Jumps that are listed. */
const MOST_JUMPS = 50;

type AnswerContext = {
  readonly world: World;
  readonly store: Pick<Store, 'clock'>;
  readonly clockWatch: Pick<ClockWatch, 'jumps'>;
};

/** How the clock was set, and what was set aside for it. */
export function clockAnswer({ world, store, clockWatch }: AnswerContext): ClockAnswer {
  return {
    steady: clockWatch.jumps().length === 0,
    jumps: store.clock.jumps(MOST_JUMPS).map(({ id, fromMs, toMs, byMs, exact }) => ({
      id,
      from: iso(fromMs),
      to: iso(toMs),
      byS: Math.round(byMs / 1000),
      exact,
    })),
    aside: store.clock.aside().flatMap(({ jumpId, probeId, fromMs, toMs, readings }) => {
      const probe = world.probes.get(probeId);
      const span = { from: iso(fromMs), to: iso(toMs), readings };
      return probe
        ? [{ jumpId, probe: `${probe.device}/${probe.name}`, placeId: probe.placeId, ...span }]
        : [];
    }),
  };
}

function iso(ms: number): string {
  return new Date(ms).toISOString();
}
