import { Fault } from '../../shared/faults.ts';
import type { Clock, Log, Timers } from '../ports.ts';
import { createDelays } from './delays.ts';
import { nextRunsOutMs } from './judge.ts';
import type { createPulse } from './pulse.ts';
import type { Teller } from './teller.ts';
import { delaysTurn, type WatchContext, watchTurn } from './watch.ts';
import type { Writability } from './writable.ts';

type Watches = {
  readonly deps: {
    readonly clock: Clock;
    readonly log: Log;
    readonly timers: Timers;
    readonly writability: Pick<Writability, 'writable'>;
  };
  readonly teller: Pick<Teller, 'alarm'>;
  readonly pulse: Pick<ReturnType<typeof createPulse>, 'beat'>;
  readonly relayTurn: () => void;
  /** whether no message waits to be taken */
  readonly idle: () => boolean;
};

/** The turns of what passes with time: all of it every second, on-delays at the moment they run out. */
export function watches(
  watching: Omit<WatchContext, 'nowMs'>,
  { deps, teller, pulse, relayTurn, idle }: Watches,
) {
  const { clock, log, timers, writability } = deps;
  const turnOf = (turn: typeof watchTurn) => {
    const changed = watchedNow(turn, { ...watching, nowMs: clock.nowMs() }, log);
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
    if (idle() && writability.writable()) pulse.beat('ingest');
    delays.due(next());
  };
  return { watch, delays };
}

/** What time has brought; a full disk must not end the watch: it is found again at the next turn. */
function watchedNow(turn: typeof watchTurn, context: WatchContext, log: Log): string[] | null {
  try {
    return turn(context);
  } catch (cause) {
    if (!(cause instanceof Fault)) throw cause;
    log.error('alarms could not be kept', { error: cause.message });
    return null;
  }
}
