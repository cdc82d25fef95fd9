import { expect, test } from 'vitest';
import { targetsSchema } from '../../../../../shared/model/targets.ts';
import { bodyOf, FIELD_GROUPS, fieldErrors, formOf } from '../../../../../web/place/forms/targets-form.ts';
import { TARGETS } from '../../examples.ts';

test('every number and time of the sheet has an input: 15 in 4 groups', () => {
  const fields = FIELD_GROUPS.flatMap((group) => group.fields);
  expect(FIELD_GROUPS).toHaveLength(4);
  expect(fields.map(({ path }) => formOf(TARGETS)[path])).not.toContain('');
  expect(fields).toHaveLength(15);
});

test('what is not changed goes back as it came', () => {
  expect(bodyOf(formOf(TARGETS), TARGETS)).toEqual(TARGETS);
});

test('bands that take 90 min go back as they came; 45 typed where nothing was stated is stated, 0 need not be', () => {
  const slow = { ...TARGETS, rampMin: 90 };
  expect(bodyOf(formOf(slow), slow)).toEqual(slow);
  expect(bodyOf({ ...formOf(slow), rampMin: '0' }, slow)).toEqual({ ...TARGETS, rampMin: 0 });
  expect(bodyOf({ ...formOf(TARGETS), rampMin: '45' }, TARGETS)).toEqual({ ...TARGETS, rampMin: 45 });
});

test('a day that follows the sun goes back as it came, and one by light with its 8 µmol m⁻² s⁻¹', () => {
  const bySun = { ...TARGETS, dayBy: { kind: 'sun' } as const };
  expect(bodyOf(formOf(bySun), bySun)).toEqual(bySun);
  const byLight = { ...TARGETS, dayBy: { kind: 'light', ppfdUmolM2S: 8 } as const };
  expect(bodyOf(formOf(byLight), byLight)).toEqual(byLight);
});

test('a day by the clock becomes one by light from 12,5, and one by the sun one by the clock', () => {
  const typed = { ...formOf(TARGETS), 'dayBy.kind': 'light', 'dayBy.ppfdUmolM2S': '12,5' };
  expect(targetsSchema.parse(bodyOf(typed, TARGETS)).dayBy).toEqual({ kind: 'light', ppfdUmolM2S: 12.5 });
  const bySun = { ...TARGETS, dayBy: { kind: 'sun' } as const };
  const back = bodyOf({ ...formOf(bySun), 'dayBy.kind': 'clock' }, bySun);
  expect(targetsSchema.parse(back).dayBy).toEqual({ kind: 'clock' });
});

test('a changed ceiling of 28,5 with a comma is the number 28.5, and the sheet in force is left alone', () => {
  const body = bodyOf({ ...formOf(TARGETS), 'air.ceilingC': ' 28,5 ' }, TARGETS);
  expect(targetsSchema.parse(body).air.ceilingC).toBe(28.5);
  expect(TARGETS.air.ceilingC).toBe(26.7);
});

test('an empty field and a word go to the daemon as typed, so that it says what is wrong', () => {
  const body = bodyOf({ ...formOf(TARGETS), 'air.ceilingC': '', 'vpd.lowKpa': 'damp' }, TARGETS);
  expect(body).toMatchObject({ air: { ceilingC: '' }, vpd: { lowKpa: 'damp' } });
});

test('an objection to a field stands beside it, one to a band beside its first field, others beside none', () => {
  const errors = fieldErrors({
    'air.ceilingC': 'too high',
    'rootZone.night': 'lowC must lie below highC',
    'dayBy.ppfdUmolM2S': 'too bright',
    body: 'not an object',
  });
  expect(errors).toEqual({
    'dayBy.ppfdUmolM2S': 'too bright',
    'air.ceilingC': 'too high',
    'rootZone.night.lowC': 'lowC must lie below highC',
  });
});

test('2 objections to one field are both shown', () => {
  expect(fieldErrors({ 'vpd.lowKpa': 'not a number', vpd: 'low must lie below high' })).toEqual({
    'vpd.lowKpa': 'not a number; low must lie below high',
  });
  expect(fieldErrors(null)).toEqual({});
});

test('in °F the ceiling of 26.7 °C stands as 80.1; not touched it goes back to the last digit, and 82.4 is 28 °C', () => {
  const shown = formOf(TARGETS, 'F');
  expect(shown['air.ceilingC']).toBe('80.1');
  expect(shown['vpd.lowKpa']).toBe(formOf(TARGETS)['vpd.lowKpa']);
  expect(bodyOf(shown, TARGETS, 'F')).toEqual(TARGETS);
  const body = targetsSchema.parse(bodyOf({ ...shown, 'air.ceilingC': '82,4' }, TARGETS, 'F'));
  expect(body.air).toEqual({ ...TARGETS.air, ceilingC: 28 });
});
