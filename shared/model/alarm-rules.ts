export type AlarmPriority = 'high' | 'medium' | 'low';

/** Rules that hold one number against a limit. */
export const LIMIT_RULES = [
  'air-over-ceiling',
  'air-far-over-ceiling',
  'air-below-band-at-night',
  'root-too-hot',
  'root-below-band',
  'root-falling-towards-air',
  'vpd-above-band-in-light',
  'no-mist-in-light',
  'vent-left-open',
  'saturated-too-long',
  'air-warmer-than-root',
  'light-over-peak',
] as const;
/** Rules about the watch itself. */
export const WATCH_RULES = ['no-data', 'power-back', 'probe-suspect'] as const;
/** Rules of the house, of no place. */
export const HOUSE_RULES = [
  'watch-was-down',
  'way-failing',
  'test-unconfirmed',
  'record-not-writable',
  'clock-jumped',
  'message-set-aside',
  'restore-incomplete',
  'monitoring-fault',
] as const;
export const ALARM_RULES = [...LIMIT_RULES, ...WATCH_RULES, ...HOUSE_RULES] as const;

export type LimitRule = (typeof LIMIT_RULES)[number];
export type AlarmRule = (typeof ALARM_RULES)[number];

/** What a person must know of an alarm to judge it, as a rationalisation by ISA-18.2 asks; and how it is told. */
export type RuleSheet = {
  readonly name: string;
  readonly priority: AlarmPriority;
  readonly cause: string;
  readonly consequence: string;
  readonly action: string;
  /** minutes in which the action still helps */
  readonly respondWithinMin: number;
  /** alarms of one group at one place have one cause: the first speaks for the others */
  readonly group: 'heat' | 'cold-root' | 'dry' | 'silence' | null;
};

export type LimitSheet = RuleSheet & {
  readonly unit: 'Cel' | 'K' | 'K/h' | 'kPa' | 'min' | 'h' | 'umol/m2/s';
  readonly sense: 'above' | 'below';
  readonly on: boolean;
  readonly onDelayMs: number;
  readonly offDelayMs: number;
  readonly deadband: number;
  readonly latching: boolean;
  /** each further excess of this much halves what is left of the on-delay; null: it does not shrink */
  readonly halving: number | null;
};

const MINUTE_MS = 60_000;
const HOUR_MS = 3_600_000;
const limits = { on: true, latching: false, halving: null, offDelayMs: MINUTE_MS } as const;

/**
 * Every rule with its cause, consequence, first action, time to respond and priority. Delays and deadbands start
 * from [ALARM-START]; the longer ones are proposals of the project. That heat harms by a dose whose time falls
 * exponentially with temperature: [HEATDOSE]; the excess that halves a delay is a proposal of the project.
 */
export const LIMIT_SHEETS: Readonly<Record<LimitRule, LimitSheet>> = {
  'air-over-ceiling': {
    ...{ ...limits, unit: 'Cel', sense: 'above', deadband: 0.5, onDelayMs: MINUTE_MS, halving: 5 },
    ...{ name: 'air over its ceiling', priority: 'high', respondWithinMin: 15, group: 'heat' },
    cause: 'Usually the sun has come on it.',
    consequence: 'Cuttings without roots wilt, then cook: minutes to two hours.',
    action: 'Shade it first, then open the cover.',
  },
  'air-far-over-ceiling': {
    ...{ ...limits, unit: 'Cel', sense: 'above', deadband: 0.5, onDelayMs: 0 },
    ...{ name: 'air far over its ceiling', priority: 'high', respondWithinMin: 5, group: 'heat' },
    cause: 'Usually full sun on a closed cover.',
    consequence: 'The batch is lost within the hour.',
    action: 'Shade it now, open the cover, then mist lightly.',
  },
  'air-below-band-at-night': {
    ...{ ...limits, unit: 'Cel', sense: 'below', deadband: 0.5, onDelayMs: 30 * MINUTE_MS, halving: 3 },
    ...{ name: 'air below its band at night', priority: 'medium', respondWithinMin: 120, group: null },
    cause: 'Usually the heating is off, or a cover or a door stands open.',
    consequence: 'Rooting slows; tender kinds are chilled below about 10 °C.',
    action: 'Close and cover it, then look at the heating.',
  },
  'root-too-hot': {
    ...{ ...limits, unit: 'Cel', sense: 'above', deadband: 0.3, onDelayMs: 2 * MINUTE_MS },
    ...{ name: 'root zone too hot', priority: 'high', respondWithinMin: 60, group: null },
    cause: 'Usually the thermostat’s own probe has come out of the medium, or a hot room on top of the mat.',
    consequence: 'New roots brown and die within hours.',
    action: 'Unplug the mat, lift the tray off it, water with tepid water.',
  },
  'root-below-band': {
    ...{ ...limits, unit: 'Cel', sense: 'below', deadband: 0.3, onDelayMs: 2 * HOUR_MS, halving: 2 },
    ...{ name: 'root zone below its band', priority: 'medium', respondWithinMin: 480, group: 'cold-root' },
    cause: 'Usually the mat is off: plug, residual-current switch, thermostat, in that order.',
    consequence: 'Time is lost: roots wait. It is not death.',
    action: 'See whether the mat is warm; then its plug, residual-current switch and thermostat.',
  },
  'root-falling-towards-air': {
    ...{ ...limits, unit: 'K/h', sense: 'above', deadband: 0.3, onDelayMs: 20 * MINUTE_MS },
    ...{
      name: 'root zone falling towards air',
      priority: 'medium',
      respondWithinMin: 240,
      group: 'cold-root',
    },
    cause: 'Is the mat on? Or it was watered cold.',
    consequence: 'The root zone will be as cold as the air within hours: time is lost.',
    action: 'See whether the mat is warm; then its plug, residual-current switch and thermostat.',
  },
  'vpd-above-band-in-light': {
    ...{ ...limits, unit: 'kPa', sense: 'above', deadband: 0.1, onDelayMs: 30 * MINUTE_MS, halving: 0.2 },
    ...{ name: 'air too dry in light', priority: 'medium', respondWithinMin: 30, group: 'dry' },
    cause: 'Usually a cover left open, dry mist or too much sun.',
    consequence: 'Leaves lose water that no root can replace: wilting within the hour.',
    action: 'Mist by hand, close the cover, shade it.',
  },
  'no-mist-in-light': {
    ...{ ...limits, unit: 'min', sense: 'above', deadband: 0, onDelayMs: 0, offDelayMs: 0 },
    ...{ name: 'no mist pulse in light', priority: 'high', respondWithinMin: 20, group: 'dry' },
    cause: 'Usually a blocked filter or nozzle, a closed valve, or the clock of the mist.',
    consequence: 'The film on the leaves dries within minutes; in light they wilt.',
    action: 'Mist by hand, then look at the valve, the water and the filter.',
  },
  'vent-left-open': {
    ...{ ...limits, unit: 'h', sense: 'above', deadband: 0, onDelayMs: 0, offDelayMs: 0 },
    ...{ name: 'vent not closed again', priority: 'medium', respondWithinMin: 30, group: 'dry' },
    cause: 'Usually it was forgotten.',
    consequence: 'Humidity stays low; leaves wilt in bright light within the hour.',
    action: 'Close it, and mist once.',
  },
  'saturated-too-long': {
    ...{ ...limits, unit: 'h', sense: 'above', deadband: 0, onDelayMs: 0, offDelayMs: 0, on: false },
    ...{ name: 'saturated too long', priority: 'low', respondWithinMin: 720, group: null },
    cause: 'Usually shut vents and cool nights.',
    consequence: 'Rot and mould start within days.',
    action: 'Open it for an hour or two, and look for mould.',
  },
  'air-warmer-than-root': {
    ...{ ...limits, unit: 'K', sense: 'above', deadband: 0.3, onDelayMs: 4 * HOUR_MS, on: false },
    ...{ name: 'air warmer than the root zone', priority: 'low', respondWithinMin: 720, group: 'cold-root' },
    cause: 'Usually a warm room over a cold mat.',
    consequence: 'Tops grow before roots.',
    action: 'Cool the air, or warm the root zone.',
  },
  'light-over-peak': {
    ...{ ...limits, unit: 'umol/m2/s', sense: 'above', deadband: 10, onDelayMs: 5 * MINUTE_MS },
    ...{ name: 'light over its peak', priority: 'low', respondWithinMin: 60, group: null },
    offDelayMs: 5 * MINUTE_MS,
    cause: 'Usually the shade is off.',
    consequence: 'Leaves bleach and heat up.',
    action: 'Draw the shade.',
  },
};

const WATCH_SHEETS: Readonly<Record<Exclude<AlarmRule, LimitRule>, RuleSheet>> = {
  'no-data': {
    ...{ name: 'no readings', priority: 'medium', respondWithinMin: 60, group: 'silence' },
    cause: 'Usually power, battery or network.',
    consequence: 'Nobody is watching this climate.',
    action: 'Look at the cuttings, then at the sensor, its power and the network.',
  },
  'power-back': {
    ...{ name: 'readings are back after silence', priority: 'low', respondWithinMin: 240, group: null },
    cause: 'Usually the power was off.',
    consequence: 'Mats, mist clocks and thermostats do not all start again by themselves.',
    action: 'See that the mat is warm and the mist runs.',
  },
  'probe-suspect': {
    ...{ name: 'a probe is suspect', priority: 'low', respondWithinMin: 1440, group: null },
    cause: 'Usually a wet, sunlit or failing sensor.',
    consequence: 'What it says may be wrong, and an alarm may not come.',
    action: 'Look at the probe; compare it with another.',
  },
  'watch-was-down': {
    ...{ name: 'nobody watched', priority: 'medium', respondWithinMin: 240, group: null },
    cause: 'The daemon or its machine was down.',
    consequence: 'No alarm could be raised in that time.',
    action: 'Look at the cuttings; then find out why it stopped.',
  },
  'way-failing': {
    ...{ name: 'a way to reach people fails', priority: 'medium', respondWithinMin: 240, group: null },
    cause: 'Usually the network, or an account that no longer takes messages.',
    consequence: 'Somebody will not be woken.',
    action: 'Send a test message from the page, and mend or change that way.',
  },
  'test-unconfirmed': {
    ...{ name: 'the weekly test was not confirmed', priority: 'low', respondWithinMin: 1440, group: null },
    cause: 'Usually a muted phone, a spam folder, or a way nobody looks at any more.',
    consequence: 'An alarm by that way may not reach anybody.',
    action:
      'Ask whether the test arrived; then test again from the page People, and mend or change that way.',
  },
  'record-not-writable': {
    name: 'the record cannot be written',
    priority: 'high',
    respondWithinMin: 60,
    group: null,
    cause: 'Usually the disk is full, read-only or failing.',
    consequence: 'New readings are not saved. Alarms are judged from memory until it can be written again.',
    action: 'Free disk space or check the disk. "strikewell doctor" shows what is wrong.',
  },
  'clock-jumped': {
    name: 'the clock jumped',
    priority: 'medium',
    respondWithinMin: 240,
    group: null,
    cause: 'Usually a computer without a battery-backed clock, or a wrong time server.',
    consequence: 'Readings taken while the clock was wrong may carry the wrong time.',
    action: 'Check the date, the time and the time synchronisation of this computer.',
  },
  'message-set-aside': {
    name: 'a message could not be stored',
    priority: 'medium',
    respondWithinMin: 240,
    group: null,
    cause: 'A fault in Strikewell, or a damaged record.',
    consequence: 'The readings in that message are missing from the record.',
    action: 'Find it among the rejected messages under Probes, then run "strikewell doctor".',
  },
  'monitoring-fault': {
    name: 'part of the monitoring has failed',
    priority: 'high',
    respondWithinMin: 15,
    group: null,
    cause: 'A fault in Strikewell, or a damaged record.',
    consequence: 'What is named here is not being monitored; everything else is.',
    action: 'Check the cuttings there yourself, then restart Strikewell and run "strikewell doctor".',
  },
  'restore-incomplete': {
    name: 'the restore is incomplete',
    priority: 'medium',
    respondWithinMin: 240,
    group: null,
    cause: 'The backup did not hold everything this installation uses.',
    consequence: 'Somebody named here is not notified until it is set up again.',
    action: 'Set up each entry again, then send a test message.',
  },
};

/** The sheet of a rule. */
export function ruleSheet(rule: AlarmRule): RuleSheet {
  return isLimitRule(rule) ? LIMIT_SHEETS[rule] : WATCH_SHEETS[rule];
}

/** True for a rule that holds a number against a limit. */
export function isLimitRule(rule: AlarmRule): rule is LimitRule {
  return (LIMIT_RULES as readonly string[]).includes(rule);
}

/** An alarm that came and went is told like any other once it has been quiet for so long. PROPOSAL. */
export const CHATTER_QUIET_MS = 10 * MINUTE_MS;

/** After so long an alarm that still stands counts as unacknowledged again; never for low priority. PROPOSAL. */
export const RE_ALARM_MS: Readonly<Record<AlarmPriority, number | null>> = {
  high: 15 * MINUTE_MS,
  medium: HOUR_MS,
  low: null,
};
