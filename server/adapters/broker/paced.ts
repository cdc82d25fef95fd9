import { createLogPace } from '../../domain/limits/log-pace.ts';
import type { Limits } from '../../domain/limits/table.ts';
import type { Clock, Log, LogFields } from '../../ports.ts';

/** Warnings about refusals, which anybody on the network can cause: so many of a kind a minute. */
export function pacedWarnings(deps: {
  readonly log: Log;
  readonly clock: Clock;
  readonly limits: Pick<Limits, 'refusalLinesPerMinute'>;
}): (message: string, fields: LogFields) => void {
  const pace = createLogPace(deps.limits.refusalLinesPerMinute);
  return (message, fields) => {
    const { write, leftOut } = pace(message, deps.clock.nowMs());
    if (write) deps.log.warn(message, leftOut === 0 ? fields : { ...fields, notWritten: leftOut });
  };
}
