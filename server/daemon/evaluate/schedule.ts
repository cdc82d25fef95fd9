import { Fault } from '../../../shared/faults.ts';
import type { Clock, Log, Timers } from '../../ports.ts';
import type { Emergency } from '../emergency/emergency.ts';
import { guarded } from '../guard/guard.ts';
import type { createLiveness } from '../guard/liveness.ts';
import { type Troubles, troublesTurn } from '../guard/troubles.ts';
import type { Publisher } from '../publish/publisher.ts';
import { createDelays } from './delays.ts';
import { delaysTurn, type WatchContext, watchTurn } from './evaluate-by-time.ts';
import { nextDueAtMs } from './judge.ts';

type Watches = {
  readonly deps: {
    readonly clock: Clock;
    readonly log: Log;
    readonly timers: Timers;
    readonly emergency: Pick<Emergency, 'refused'>;
  };
  readonly publisher: Pick<Publisher, 'alarm'>;
  readonly liveness: Pick<ReturnType<typeof createLiveness>, 'beat'>;
  readonly relayTurn: () => void;
  /** whether no message waits to be taken */
  readonly idle: () => boolean;
};

/** The turns of what passes with time: all of it every second, on-delays at the moment they run out. */
export function watches(
  watching: Omit<WatchContext, 'nowMs' | 'troubles'> & { readonly troubles: Troubles },
  { deps, publisher, liveness, relayTurn, idle }: Watches,
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
    for (const alarmId of changed ?? []) publisher.alarm(alarmId);
    relayTurn();
    return changed !== null;
  };
  const next = () =>
    guarded('when alarms are due', () => nextDueAtMs(clock.nowMs(), watching), {
      troubles,
      otherwise: null,
    });
  const sample = () => {
    turnOf(delaysTurn);
    return next();
  };
  const delays = createDelays({ clock, timers, check: sample });
  const watch = () => {
    if (turnOf(watchTurn)) liveness.beat('evaluation');
    turnOf(troublesTurn);
    if (idle()) liveness.beat('ingest');
    delays.due(next());
  };
  return { watch, delays, next };
}
