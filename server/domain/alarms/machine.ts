import type { AlarmState, AlarmTransition } from '../../../shared/model/alarm.ts';

/** What can happen to an alarm. `condition` says whether its condition stands. */
export type AlarmInput =
  | { readonly kind: 'condition'; readonly stands: boolean }
  | { readonly kind: 'acknowledge' };

type Step = { readonly state: AlarmState; readonly transition: AlarmTransition | null };

const stay = (state: AlarmState): Step => ({ state, transition: null });

const TABLE: Readonly<Record<AlarmState, Readonly<Record<'met' | 'over' | 'acknowledge', Step>>>> = {
  normal: {
    met: { state: 'unacknowledged', transition: 'raised' },
    over: stay('normal'),
    acknowledge: stay('normal'),
  },
  unacknowledged: {
    met: stay('unacknowledged'),
    over: { state: 'returned-unacknowledged', transition: 'returned' },
    acknowledge: { state: 'acknowledged', transition: 'acknowledged' },
  },
  acknowledged: {
    met: stay('acknowledged'),
    over: { state: 'normal', transition: 'returned' },
    acknowledge: stay('acknowledged'),
  },
  'returned-unacknowledged': {
    met: { state: 'unacknowledged', transition: 'raised' },
    over: stay('returned-unacknowledged'),
    acknowledge: { state: 'normal', transition: 'acknowledged' },
  },
};

/**
 * The alarm state model of IEC 62682 / ISA-18.2, without latching: condition × acknowledgement.
 * @returns the next state and the transition made, `null` when nothing changed
 */
export function alarmStep(state: AlarmState, input: AlarmInput): Step {
  if (input.kind === 'acknowledge') return TABLE[state].acknowledge;
  return TABLE[state][input.stands ? 'met' : 'over'];
}
