import { expect, test } from 'vitest';
import { SETTABLE_RULES } from '../../../../../shared/rules/rules.ts';
import {
  prioritiesBodyOf,
  prioritiesFormOf,
  priorityFields,
} from '../../../../../web/place/forms/priorities-form.ts';

const words = (rule: string, alarms = {}) =>
  priorityFields({ alarms }).find(({ path }) => path === rule)?.choices[0]?.words;

test('every rule that a place may set shows the default that holds without a choice', () => {
  expect(priorityFields({})).toHaveLength(SETTABLE_RULES.length);
  expect(words('air-over-ceiling')).toBe('default: high');
  expect(words('root-below-band')).toBe('default: medium, high once much is at stake');
  expect(words('probe-silent')).toBe('default: by what cannot be judged without it');
  expect(words('root-below-band', { priority: { 'root-below-band': 'low' } })).toBe(
    'default: low, by the targets',
  );
});

test('a choice is sent beside what else the place sets of the rule; the default takes it away again', () => {
  const alarms = {
    'root-below-band': { onDelayMs: 60_000, priority: 'low' },
    'no-data': { priority: 'medium' },
  } as const;
  const values = prioritiesFormOf({ alarms });
  expect(values).toMatchObject({ 'root-below-band': 'low', 'no-data': 'medium', 'air-over-ceiling': '' });
  const changed = { ...values, 'root-below-band': 'high', 'no-data': '', 'probe-silent': 'low' };
  expect(prioritiesBodyOf(changed, { alarms })).toEqual({
    settings: {
      alarms: {
        'root-below-band': { onDelayMs: 60_000, priority: 'high' },
        'probe-silent': { priority: 'low' },
      },
    },
  });
});
