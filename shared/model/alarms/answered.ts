import type { Alarm } from './alarm.ts';

/** Whether somebody acknowledged what is active at a place. */
export const ANSWERED = ['no-alarm', 'unacknowledged', 'acknowledged'] as const;

/** Whether all alarms of a place that are active were acknowledged; what is over counts no more. */
export function answeredOf(alarms: Iterable<Pick<Alarm, 'state'>>): (typeof ANSWERED)[number] {
  const states = new Set(Array.from(alarms, ({ state }) => state));
  if (states.has('unacknowledged')) return 'unacknowledged';
  return states.has('acknowledged') ? 'acknowledged' : 'no-alarm';
}
