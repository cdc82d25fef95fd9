import type { AlarmState, AlarmTransition } from '../../../shared/model/alarms/alarm.ts';

/** What can happen to an alarm; `over` and `over-latched`: its condition is met no more. */
type AlarmInput = 'met' | 'over' | 'over-latched' | 'acknowledge' | 're-alarm' | 'reset';

type Step = { readonly state: AlarmState; readonly transition: AlarmTransition | null };

const RAISED: Step = { state: 'unacknowledged', transition: 'raised' };

/** What changes a state; every other input leaves it as it is. */
const TABLE: Readonly<Record<AlarmState, Readonly<Partial<Record<AlarmInput, Step>>>>> = {
  normal: { met: RAISED },
  unacknowledged: {
    over: { state: 'returned-unacknowledged', transition: 'returned' },
    'over-latched': { state: 'latched-unacknowledged', transition: 'returned' },
    acknowledge: { state: 'acknowledged', transition: 'acknowledged' },
  },
  acknowledged: {
    over: { state: 'normal', transition: 'returned' },
    'over-latched': { state: 'latched-acknowledged', transition: 'returned' },
    're-alarm': { state: 'unacknowledged', transition: 're-alarmed' },
  },
  'returned-unacknowledged': {
    met: RAISED,
    acknowledge: { state: 'normal', transition: 'acknowledged' },
  },
  'latched-unacknowledged': {
    met: RAISED,
    acknowledge: { state: 'latched-acknowledged', transition: 'acknowledged' },
  },
  'latched-acknowledged': { met: RAISED, reset: { state: 'normal', transition: 'reset' } },
};

/**
 * The alarm state model of IEC 62682 / ISA-18.2: condition × acknowledgement, with latching. Suppression is an
 * axis of its own and never moves these states.
 * @returns the next state and the transition made, `null` when nothing changed
 */
export function alarmStep(state: AlarmState, input: AlarmInput): Step {
  return TABLE[state][input] ?? { state, transition: null };
}
