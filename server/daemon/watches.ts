import { Fault } from '../../shared/faults.ts';
import type { Clock, Log, Timers } from '../ports.ts';
import { createDelays } from './delays.ts';
import type { Emergency } from './emergency/emergency.ts';
import { saidOnce } from './emergency/said-once.ts';
import { nextRunsOutMs } from './judge.ts';
import type { createPulse } from './pulse.ts';
import type { Teller } from './teller.ts';
import { delaysTurn, type WatchContext, watchTurn } from './watch.ts';

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
  watching: Omit<WatchContext, 'nowMs' | 'broke'>,
  { deps, teller, pulse, relayTurn, idle }: Watches,
) {
  const { clock, log, timers, emergency } = deps;
  const { say: broke } = saidOnce(log, 'a part of the watch broke; the others go on');
  /** What time has brought; a full disk must not end the watch: it is found again at the next turn. */
  const watchedNow = (turn: typeof watchTurn): string[] | null => {
    try {
      return turn({ ...watching, broke, nowMs: clock.nowMs() });
    } catch (cause) {
      emergency.refused(cause);
      if (cause instanceof Fault) log.error('alarms could not be kept', { error: cause.message });
      else broke(cause);
      return null;
    }
  };
  const turnOf = (turn: typeof watchTurn) => {
    const changed = watchedNow(turn);
    for (const alarmId of changed ?? []) teller.alarm(alarmId);
    relayTurn();
    return changed !== null;
  };
  const next = () => nextRunsOutMs(clock.nowMs(), watching);
  const look = () => {
    turnOf(delaysTurn);
    return next();
  };
  const delays = createDelays({ clock, timers, look });
  const watch = () => {
    if (turnOf(watchTurn)) pulse.beat('evaluation');
    if (idle()) pulse.beat('ingest');
    delays.due(next());
  };
  return { watch, delays };
}
