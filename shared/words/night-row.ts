import { rulesAbout } from '../rules/excursion-rules.ts';
import { ALARM_RULES, RULES } from '../rules/rules.ts';
import type { ExcursionAnswer, ExcursionKind, NightRow } from '../wire/places/night.ts';
import { afterwardsWords } from './lately.ts';
import { type KindOfNight, kindsWorthSaying } from './night.ts';
import { asSentence, difference, duration, type Reader, temperature } from './plain.ts';

/** How a row of the night is marked: weight says how much it matters, a word says the same. */
export type NightMark = 'unanswered' | 'acknowledged' | 'not-reporting' | 'out' | 'back' | 'fine';

/** The word beside the mark of a row. */
export const MARK_WORDS: Readonly<Record<NightMark, string>> = {
  unanswered: 'act now',
  acknowledged: 'acknowledged',
  'not-reporting': 'not reporting',
  out: 'needs watching',
  back: 'back to normal',
  fine: '',
};

/** How a row is marked, from how its place does and whether somebody answered. */
export function markOf(row: Pick<NightRow, 'state' | 'answered' | 'excursions'>): NightMark {
  const { state, answered, excursions } = row;
  if (state === 'ok') return 'fine';
  if (excursions.some(({ kind, to }) => kind === 'no-data' && to === null)) return 'not-reporting';
  if (answered === 'acknowledged') return 'acknowledged';
  if (state === 'act') return 'unanswered';
  const kinds = kindsWorthSaying({ excursions });
  const wasUnseen = excursions.some(({ kind }) => kind === 'no-data');
  const isOver = kinds.every(({ endedMs }) => endedMs !== null) && (kinds.length > 0 || wasUnseen);
  return isOver && answered === 'no-alarm' ? 'back' : 'out';
}

type Name = {
  /** where in the section through the bench it belongs; null: all of it */
  readonly layer: 'air' | 'leaf' | 'rootZone' | null;
  readonly side: 'above' | 'below' | null;
  readonly name: string;
};

/** What each kind is called in a table, and where it is drawn. */
export const EXCURSION_NAMES: Readonly<Record<ExcursionKind, Name>> = {
  'air-over-ceiling': { layer: 'air', side: 'above', name: 'air over its ceiling' },
  'air-above-band': { layer: 'air', side: 'above', name: 'air above its band' },
  'air-below-band': { layer: 'air', side: 'below', name: 'air below its band' },
  'air-far-too-cold': { layer: 'air', side: 'below', name: 'air far too cold' },
  'root-zone-over-ceiling': { layer: 'rootZone', side: 'above', name: 'root zone too hot' },
  'root-zone-above-band': { layer: 'rootZone', side: 'above', name: 'root zone above its band' },
  'root-zone-below-band': { layer: 'rootZone', side: 'below', name: 'root zone below its band' },
  'vpd-above-band': { layer: 'leaf', side: 'above', name: 'air too dry (VPD above target)' },
  saturated: { layer: 'leaf', side: 'below', name: 'air saturated' },
  'no-mist': { layer: 'leaf', side: 'above', name: 'no mist in light' },
  'no-data': { layer: null, side: null, name: 'no readings' },
};

const number = (value: number, { unit }: Pick<ExcursionAnswer, 'unit'>, reader: Reader): string => {
  if (unit === '°C') return temperature(value, reader);
  return unit === 'kPa' ? `${value.toFixed(2)} kPa` : `${value.toFixed(0)} ${unit ?? ''}`;
};

/** The furthest value: "31.0 °C"; null where nothing was read. */
export function peakWords(one: ExcursionAnswer, reader: Reader): string | null {
  return one.peak === null ? null : number(one.peak, one, reader);
}

/** The limit that a value went beyond: "limit 26.7 °C"; null where there is no course. */
export function limitWords(one: ExcursionAnswer, reader: Reader): string | null {
  return one.limit === null ? null : `limit ${number(one.limit, one, reader)}`;
}

/** Area beyond a limit: "2.1 °C·h", "0.40 kPa·h"; null where there is none. */
export function doseWords(
  { dose, doseUnit }: Pick<ExcursionAnswer, 'dose' | 'doseUnit'>,
  reader: Reader,
): string | null {
  if (dose === null || doseUnit === null) return null;
  if (doseUnit === 'kPa·h') return `${dose.toFixed(2)} kPa·h`;
  return `${difference(dose, reader)} °${reader.unit}·h`;
}

/** How long a batch has, short enough for a row: "damage expected in 40 min". */
export function timeLeftWords({ minutesLeft }: Pick<NightRow, 'minutesLeft'>): string | null {
  if (minutesLeft === null || minutesLeft >= 24 * 60) return null;
  return minutesLeft < 1 ? 'damage expected by now' : `damage expected in ${duration(minutesLeft * 60_000)}`;
}

/** Who answered what was raised; null where no alarm was. */
export function answeredWords({ excursions, answered }: Pick<NightRow, 'excursions' | 'answered'>) {
  const raised = excursions.filter(({ alarmId }) => alarmId !== null);
  const people = [
    ...new Set(raised.flatMap(({ acknowledgedBy }) => (acknowledgedBy === null ? [] : [acknowledgedBy]))),
  ];
  const open = answered === 'unacknowledged' ? 'no answer yet' : null;
  if (people.length > 0) return [`acknowledged by ${people.join(', ')}`, open].filter(Boolean).join('; ');
  if (answered === 'acknowledged') return 'acknowledged';
  return open ?? (raised.length > 0 ? 'alarm raised, not acknowledged' : null);
}

/** What to do next: the action of the alarm while it lasts, what to check once it is over; null for nothing. */
export function nextStepWords(row: Pick<NightRow, 'excursions'>): string | null {
  const silent = row.excursions.find(({ kind, to }) => kind === 'no-data' && to === null);
  if (silent) return RULES['no-data'].action;
  const kinds = kindsWorthSaying(row);
  const lasting = kinds.filter(({ endedMs }) => endedMs === null);
  const [first] = lasting.flatMap((kind) => actionOf(kind, row.excursions) ?? []);
  if (first !== undefined) return first;
  const [after] = kinds.flatMap((kind) => afterwardsWords(kind) ?? []);
  return lasting.length === 0 ? (after ?? null) : null;
}

function actionOf({ kind }: KindOfNight, excursions: readonly ExcursionAnswer[]): string | null {
  const raised = excursions.findLast((one) => one.kind === kind && one.alarmId !== null)?.alarmId;
  // the id of an alarm is its place and its rule
  const id = raised?.slice(raised.lastIndexOf('.') + 1);
  const rule = ALARM_RULES.find((known) => known === id) ?? rulesAbout(kind)[0];
  return rule === undefined ? null : RULES[rule].action;
}

/** The first of several actions: "Shade it first, then open vents and any cover." begins with "Shade it first". */
export function firstAction(action: string): string {
  return action.split(/, then |; |\.(?: |$)/)[0] ?? action;
}

/** The single actions of several, each to be ticked: "Shade it first", "open the cover". */
export function stepsOf(action: string): string[] {
  return action
    .split(/, then |; then |; |\.(?: |$)/)
    .map((step) => step.trim())
    .filter((step) => step !== '')
    .map(asSentence);
}
