import type { KnownStep, Preparation } from '../../../shared/wire/cuttings/preparations.ts';
import { PLAN_NAMES, type PlanName } from './plan-words.ts';

/** A step as the form holds it; `name` of one of the grower's own. */
export type StepChoice = {
  readonly id: string;
  readonly name: string | null;
  readonly chosen: boolean;
  readonly days: string;
};

/** What the form of a plan holds, as typed. */
export type PlanValues = {
  readonly crop: string;
  readonly stickOn: string;
  readonly placeId: string;
  readonly sheetId: string;
  readonly count: string;
  readonly mediumState: string;
  readonly mediumSterile: string;
  readonly texts: Readonly<Record<PlanName, string>>;
  readonly steps: readonly StepChoice[];
};

type Step = { readonly id: string; readonly name: string | null; readonly daysBefore: number };
type Body = Readonly<Record<PlanName, string | null>> & {
  readonly crop: string;
  readonly stickOn: string;
  readonly placeId: string | null;
  readonly sheetId: string | null;
  readonly count: number | null;
  readonly mediumState: 'new' | 'opened' | null;
  readonly mediumSterile: boolean | null;
  readonly steps: Step[];
};
type Read =
  | { readonly body: Body; readonly errors: null }
  | { readonly body: null; readonly errors: Readonly<Record<string, string>> };

const NAMES = Object.keys(PLAN_NAMES) as PlanName[];
const MAX_DAYS = 1_500;

/** A plan as the form shows it, or an empty one with no step chosen. */
export function planValues(plan: Preparation | null, known: readonly KnownStep[]): PlanValues {
  const chosen = new Map((plan?.steps ?? []).map((step) => [step.id, step]));
  const own = (plan?.steps ?? []).filter(({ id }) => !known.some((one) => one.id === id));
  return {
    crop: plan?.crop ?? '',
    stickOn: plan?.stickOn ?? '',
    placeId: plan?.placeId ?? '',
    sheetId: plan?.sheetId ?? '',
    count: plan?.count == null ? '' : String(plan.count),
    mediumState: plan?.mediumState ?? '',
    mediumSterile: plan?.mediumSterile == null ? '' : String(plan.mediumSterile),
    texts: Object.fromEntries(NAMES.map((name) => [name, plan?.[name] ?? ''])) as Record<PlanName, string>,
    steps: [
      ...known.map(({ id, daysBefore }) => {
        const step = chosen.get(id);
        return { id, name: null, chosen: step !== undefined, days: String(step?.daysBefore ?? daysBefore) };
      }),
      ...own.map(({ id, name, daysBefore }) => ({ id, name, chosen: true, days: String(daysBefore) })),
    ],
  };
}

/** The id of the next step of the grower's own. */
export function nextOwnId(steps: readonly Pick<StepChoice, 'id'>[]): string {
  for (let n = 1; ; n += 1) if (!steps.some(({ id }) => id === `own-${n}`)) return `own-${n}`;
}

/** The inputs as a plan, or what is wrong with them. */
export function planOf(values: PlanValues): Read {
  const crop = values.crop.trim();
  const typed = values.count.trim();
  const count = typed === '' ? null : Number(typed);
  const errors: Record<string, string> = {};
  if (crop === '') errors['crop'] = 'what is it?';
  if (!/^\d{4}-\d{2}-\d{2}$/.test(values.stickOn)) errors['stickOn'] = 'on which day is it to be stuck?';
  if (count !== null && !(Number.isInteger(count) && count >= 1)) errors['count'] = 'a whole number from 1';
  const steps = values.steps
    .filter((step) => step.chosen)
    .map(({ id, name, days }): Step => {
      const isDays = /^\d{1,4}$/.test(days.trim()) && Number(days) <= MAX_DAYS;
      if (!isDays) errors[`step ${id}`] = `whole days from 0 to ${MAX_DAYS}`;
      if (name !== null && name.trim() === '') errors[`step ${id}`] = 'what is it?';
      return { id, name: name === null ? null : name.trim(), daysBefore: Number(days) };
    });
  if (Object.keys(errors).length > 0) return { body: null, errors };
  const texts = Object.fromEntries(NAMES.map((name) => [name, values.texts[name].trim() || null]));
  const { stickOn, placeId, sheetId, mediumState, mediumSterile } = values;
  return {
    body: {
      ...(texts as Record<PlanName, string | null>),
      crop,
      stickOn,
      placeId: placeId || null,
      sheetId: sheetId || null,
      count,
      mediumState: mediumState === 'new' || mediumState === 'opened' ? mediumState : null,
      mediumSterile: mediumSterile === '' ? null : mediumSterile === 'true',
      steps,
    },
    errors: null,
  };
}

/** What a plan says now, as an order that would bring it back. */
export function bodyOf(plan: Preparation): Body {
  const texts = Object.fromEntries(NAMES.map((name) => [name, plan[name]]));
  const { crop, stickOn, placeId, sheetId, count, mediumState, mediumSterile } = plan;
  return {
    ...(texts as Record<PlanName, string | null>),
    crop,
    stickOn,
    placeId,
    sheetId,
    count,
    mediumState,
    mediumSterile,
    steps: plan.steps.map(({ id, name, daysBefore, what }) => ({
      id,
      name: what === null ? name : null,
      daysBefore,
    })),
  };
}
