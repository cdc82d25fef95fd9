import { Fault } from '../../../shared/faults.ts';
import type { Clock, Log, Timers } from '../../ports.ts';
import type { Emergency } from '../emergency/emergency.ts';
import { guarded } from '../guard/guard.ts';
import type { createPulse } from '../guard/liveness.ts';
import { type Troubles, troublesTurn } from '../guard/troubles.ts';
import type { Teller } from '../publish/publisher.ts';
import { createDelays } from './delays.ts';
import { delaysTurn, type WatchContext, watchTurn } from './evaluate-by-time.ts';
import { nextRunsOutMs } from './judge.ts';

type Watches = {
  readonly deps: {
    readonly clock: Clock;
    readonly log: Log;
    readonly timers: Timers;
    readonly emergency: Pick<Emergency, 'refused'>;
  };
  readonly teller: Pick<Teller, 'alarm'>;
  readonly pulse: Pick<ReturnType<typeof createPulse>, 'beat'>;
  readonly relayTurn: () => void;
  /** whether no message waits to be taken */
  readonly idle: () => boolean;
};

/** The turns of what passes with time: all of it every second, on-delays at the moment they run out. */
export function watches(
  watching: Omit<WatchContext, 'nowMs' | 'troubles'> & { readonly troubles: Troubles },
  { deps, teller, pulse, relayTurn, idle }: Watches,
) {
  const { clock, log, timers, emergency } = deps;
  const { troubles } = watching;
  /** What time has brought; a full disk must not end the watch: it is found again at the next turn. */
  const watchedNow = (turn: () => string[]): string[] | null => {
    try {
      return turn();
    } catch (cause) {
      if (!(cause instanceof Fault)) throw cause;
      emergency.refused(cause);
      log.error('alarms could not be kept', { error: cause.message });
      return null;
    }
  };
  const turnOf = (turn: (context: typeof watching & { nowMs: number }) => string[]) => {
    const changed = watchedNow(() => turn({ ...watching, nowMs: clock.nowMs() }));
    for (const alarmId of changed ?? []) teller.alarm(alarmId);
    relayTurn();
    return changed !== null;
  };
  const next = () =>
    guarded('when alarms are due', () => nextRunsOutMs(clock.nowMs(), watching), {
      troubles,
      otherwise: null,
    });
  const look = () => {
    turnOf(delaysTurn);
    return next();
  };
  const delays = createDelays({ clock, timers, look });
  const watch = () => {
    if (turnOf(watchTurn)) pulse.beat('evaluation');
    turnOf(troublesTurn);
    if (idle()) pulse.beat('ingest');
    delays.due(next());
  };
  return { watch, delays, next };
}
