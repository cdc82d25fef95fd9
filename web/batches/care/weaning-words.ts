import type { BatchWeaning, WeaningStepView } from '../../../shared/wire/cuttings/weaning.ts';
import { hoursText, vpdText } from '../../common/format.ts';
import { type At, moment, percent } from '../words.ts';

const VERDICTS: Readonly<Record<NonNullable<BatchWeaning['verdict']>, string>> = {
  ahead: 'Weaning has not begun.',
  'under-way': 'Weaning is under way.',
  'cut-short': 'The batch was closed before its plan was over.',
  'not-held': 'Not weaned by this plan: a step was not held.',
  'cannot-be-judged': 'Whether it is weaned cannot be judged: too little of a step is on record.',
  'no-tug-test': 'Every step was held. Whether it is weaned is not known before a tug test: enter a count.',
  'too-few-rooted': 'Every step was held, but the newest tug test found too few rooted.',
  weaned: 'Weaned: every step was held, and the tug test found enough rooted.',
};

/** How the weaning stands, in sentences; none without a plan. */
export function weaningWords({ plan, gate, verdict }: BatchWeaning, at: At): string[] {
  if (plan === null || gate === null || verdict === null) return [];
  const asked = `${percent(plan.gateShare)} rooted`;
  const { count, state, metBeforeStart } = gate;
  const test =
    count === null
      ? `Tug test: none yet; the plan asks for ${asked}.`
      : `Tug test: ${count.rooted} of ${count.looked} rooted (${percent(count.rooted / count.looked)}), counted ${moment(count.at, at)}; the plan asks for ${asked}.`;
  const hasBegun = Date.parse(plan.from) <= at.nowMs;
  return [
    VERDICTS[verdict],
    test,
    ...(hasBegun && state !== 'no-count' && !metBeforeStart
      ? ['It began before a tug test had found as many.']
      : []),
    ...(hasBegun && state === 'no-count' ? ['It began before any tug test.'] : []),
  ];
}

/** `0.30 to 0.60 kPa` */
export function bandWords({ lowKpa, highKpa }: Pick<WeaningStepView, 'lowKpa' | 'highKpa'>): string {
  return `${vpdText(lowKpa)} to ${vpdText(highKpa)} kPa`;
}

/** Whether a step was held. */
export function stepStateWords({ state, held }: Pick<WeaningStepView, 'state' | 'held'>): string {
  if (held !== null)
    return { held: 'held', 'not-held': 'not held', 'cannot-be-judged': 'cannot be judged' }[held];
  return { ahead: 'not begun', running: 'running', over: 'over', 'cut-short': 'cut short' }[state];
}

/** Hours, or a dash before the step begins. */
export function stepHours({ hours }: Pick<WeaningStepView, 'hours'>, of: number): string {
  return hours === 0 ? '–' : hoursText(of);
}

/** What the share of a step that is held means, and where the steps are from. */
export function ruleWords({ heldShare }: Pick<BatchWeaning, 'heldShare'>): string {
  return `A step is held with at least ${percent(heldShare)} of its hours within its band, whatever the hours that are not on record were like; that share is our proposal. Weaning in steps of VPD is trade convention: no paper was found.`;
}
