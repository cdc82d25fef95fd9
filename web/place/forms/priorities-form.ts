import type { PlaceSettings } from '../../../shared/model/place.ts';
import type { Targets } from '../../../shared/model/targets.ts';
import type { BodyOf } from '../../../shared/routes/call.ts';
import { type AlarmPriority, RULES, SETTABLE_RULES, type SettableRule } from '../../../shared/rules/rules.ts';
import type { FormValues } from '../../common/form.ts';

/** What stands for "as the rule has it" among the choices. */
const AS_THE_RULE = '';

const PRIORITIES: readonly AlarmPriority[] = ['high', 'medium', 'low'];

type PriorityField = {
  readonly path: SettableRule;
  readonly label: string;
  readonly choices: readonly { readonly value: string; readonly words: string }[];
};

/** One field a rule, with what holds where nothing is set. */
export function priorityFields({ alarms }: Pick<Targets, 'alarms'>): PriorityField[] {
  return SETTABLE_RULES.map((rule) => ({
    path: rule,
    label: RULES[rule].name,
    choices: [
      { value: AS_THE_RULE, words: defaultWords(rule, alarms?.priority?.[rule]) },
      ...PRIORITIES.map((priority) => ({ value: priority, words: priority })),
    ],
  }));
}

function defaultWords(rule: SettableRule, bySheet: AlarmPriority | undefined): string {
  if (bySheet) return `default: ${bySheet} (targets)`;
  if (rule === 'probe-silent') return 'default: low to high';
  const { priority, harm } = RULES[rule];
  return harm && priority !== 'high' ? `default: ${priority} or high` : `default: ${priority}`;
}

/** The priorities that a place sets, as its fields show them. */
export function prioritiesFormOf({ alarms }: Pick<PlaceSettings, 'alarms'>): FormValues {
  return Object.fromEntries(SETTABLE_RULES.map((rule) => [rule, alarms[rule]?.priority ?? AS_THE_RULE]));
}

/** The fields as the body of a PATCH; what else a place sets of its alarms stays. */
export function prioritiesBodyOf(
  values: FormValues,
  { alarms }: Pick<PlaceSettings, 'alarms'>,
): BodyOf<'changePlace'> {
  const entries = SETTABLE_RULES.map((rule) => {
    const { priority: _before, ...others } = alarms[rule] ?? {};
    const priority = PRIORITIES.find((one) => one === values[rule]);
    return [rule, priority ? { ...others, priority } : others] as const;
  });
  return {
    settings: { alarms: Object.fromEntries(entries.filter(([, set]) => Object.keys(set).length > 0)) },
  };
}
