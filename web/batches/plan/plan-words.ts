import type { Preparation, PreparationStep } from '../../../shared/wire/cuttings/preparations.ts';
import { calendarDay } from '../../common/time.ts';

const DAYS_A_WEEK = 7;
const COMMON_PRACTICE = 'common practice, no source';

/** A calendar day such as `12 Feb`, with its year where that is another than today's. */
function dayWords(day: string, today: string): string {
  const words = calendarDay({ atMs: Date.parse(`${day}T12:00Z`), timeZone: 'UTC' });
  return day.slice(0, 4) === today.slice(0, 4) ? words : `${words} ${day.slice(0, 4)}`;
}

/** `2 weeks`, `10 days`, `1 day` */
function spanWords(days: number): string {
  const [n, unit] =
    days >= DAYS_A_WEEK && days % DAYS_A_WEEK === 0 ? [days / DAYS_A_WEEK, 'week'] : [days, 'day'];
  return `${n} ${unit}${n === 1 ? '' : 's'}`;
}

/** `2 weeks before sticking` */
export function beforeWords(daysBefore: number): string {
  return daysBefore === 0 ? 'on the day of sticking' : `${spanWords(daysBefore)} before sticking`;
}

/** When a step is due, or that it was done. */
export function stepWords(step: PreparationStep, today: string): string {
  const due = dayWords(step.due, today);
  return {
    done: `done; was due ${due}`,
    due: 'due today',
    late: `was due ${due}`,
    ahead: `due ${due}`,
  }[step.state];
}

/** Where a step is from: a key, common practice, or the grower. */
export function sourceWords({ source }: Pick<PreparationStep, 'source'>): string {
  if (source === null) return 'your own';
  return source === COMMON_PRACTICE ? source : `[${source}]; how long before is common practice, no source`;
}

/** How far its day of sticking is. */
export function leftWords(
  { stickOn, daysLeft }: Pick<Preparation, 'stickOn' | 'daysLeft'>,
  today: string,
): string {
  const day = dayWords(stickOn, today);
  if (daysLeft === 0) return 'To be stuck today';
  if (daysLeft < 0) return `Was to be stuck ${day}, ${spanWords(-daysLeft)} ago`;
  return `To be stuck ${day}, in ${spanWords(daysLeft)}`;
}

/** What is due today or was before, over all plans, the earliest first. */
export function dueSteps(
  plans: readonly Preparation[],
): readonly { readonly plan: Preparation; readonly step: PreparationStep }[] {
  return plans
    .flatMap((plan) => plan.steps.map((step) => ({ plan, step })))
    .filter(({ step }) => step.state === 'due' || step.state === 'late')
    .sort((a, b) => a.step.due.localeCompare(b.step.due));
}

/** What must be known before a plan can be stuck with one tap; null where all is. */
export function missingWords({ placeId, sheetId, count }: Preparation): string | null {
  const missing = [
    ...(placeId === null ? ['where it will stand'] : []),
    ...(sheetId === null ? ['its target sheet'] : []),
    ...(count === null ? ['how many cuttings'] : []),
  ];
  return missing.length === 0 ? null : `To stick it, first note ${missing.join(', ')} below.`;
}

/** Names of what may be written down of a plan. */
export const PLAN_NAMES = {
  cultivar: 'cultivar',
  stockPlant: 'stock plant',
  permission: 'permission to take',
  medium: 'medium (parts and ratio)',
  tray: 'trays',
  position: 'position',
  hormone: 'hormone, as on its label',
  hormoneStrength: 'strength, as on its label',
  note: 'note',
} as const satisfies Partial<Record<keyof Preparation, string>>;
export type PlanName = keyof typeof PLAN_NAMES;

/** What is noted of the medium besides its parts. */
export function mediumWords({
  mediumState,
  mediumSterile,
}: Pick<Preparation, 'mediumState' | 'mediumSterile'>): string {
  const state = mediumState === null ? [] : [{ new: 'new', opened: 'opened before' }[mediumState]];
  const sterile = mediumSterile === null ? [] : [mediumSterile ? 'sterile' : 'not sterile'];
  return [...state, ...sterile].join(', ');
}
