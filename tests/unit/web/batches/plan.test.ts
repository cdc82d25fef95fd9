import { describe, expect, test } from 'vitest';
import type { KnownStep, Preparation } from '../../../../shared/wire/cuttings/preparations.ts';
import { bodyOf, nextOwnId, planOf, planValues } from '../../../../web/batches/plan/plan-form.ts';
import {
  beforeWords,
  dueSteps,
  leftWords,
  mediumWords,
  missingWords,
  sourceWords,
  stepWords,
} from '../../../../web/batches/plan/plan-words.ts';

const TODAY = '2026-06-01';
const KNOWN: readonly KnownStep[] = [
  {
    id: 'nitrogen',
    name: 'Last nitrogen feed',
    what: 'Stop.',
    daysBefore: 14,
    source: 'common practice, no source',
    disputed: 'yes',
  },
  { id: 'banding', name: 'Banding', what: 'Band.', daysBefore: 28, source: 'MB87', disputed: null },
];
const STEP = {
  ...(KNOWN[0] as KnownStep),
  due: '2026-06-01',
  state: 'due' as const,
  doneAt: null,
};
const OWN = {
  id: 'own-1',
  name: 'Sharpen the knife',
  what: null,
  daysBefore: 0,
  source: null,
  disputed: null,
  due: '2026-06-15',
  state: 'ahead' as const,
  doneAt: null,
};
const PLAN: Preparation = {
  id: '3',
  crop: 'Lilac',
  stickOn: '2026-06-15',
  cultivar: null,
  placeId: null,
  sheetId: null,
  count: 40,
  stockPlant: 'by the gate',
  permission: null,
  medium: null,
  mediumState: 'opened',
  mediumSterile: false,
  tray: null,
  position: null,
  hormone: null,
  hormoneStrength: null,
  note: null,
  state: 'open',
  batchId: null,
  deletedAt: null,
  daysLeft: 14,
  steps: [STEP, OWN],
};

describe('a plan in words', () => {
  test('how far sticking is, before, on and after its day', () => {
    expect(leftWords(PLAN, TODAY)).toBe('To be stuck 15 Jun, in 2 weeks');
    expect(leftWords({ ...PLAN, daysLeft: 0 }, '2026-06-15')).toBe('To be stuck today');
    expect(leftWords({ ...PLAN, daysLeft: -1 }, '2026-06-16')).toBe('Was to be stuck 15 Jun, 1 day ago');
    expect(leftWords({ ...PLAN, stickOn: '2027-01-05', daysLeft: 218 }, TODAY)).toBe(
      'To be stuck 5 Jan 2027, in 218 days',
    );
  });

  test('what a step is: due, late, ahead, done; how long before; by whom', () => {
    expect(stepWords(STEP, TODAY)).toBe('due today');
    expect(stepWords({ ...STEP, state: 'late' }, TODAY)).toBe('was due 1 Jun');
    expect(stepWords({ ...STEP, state: 'done' }, TODAY)).toBe('done; was due 1 Jun');
    expect([0, 1, 10, 7, 112].map(beforeWords)).toEqual([
      'on the day of sticking',
      '1 day before sticking',
      '10 days before sticking',
      '1 week before sticking',
      '16 weeks before sticking',
    ]);
    expect(sourceWords(STEP)).toBe('common practice, no source');
    expect(sourceWords({ source: 'MB87' })).toBe('[MB87]; how long before is common practice, no source');
    expect(sourceWords(OWN)).toBe('your own');
  });

  test('what is due today or was before, the earliest first, and nothing that is ahead or done', () => {
    const late = { ...PLAN, id: '4', steps: [{ ...STEP, due: '2026-05-01', state: 'late' as const }] };
    const done = { ...PLAN, id: '5', steps: [{ ...STEP, state: 'done' as const }] };
    expect(dueSteps([PLAN, late, done]).map(({ plan }) => plan.id)).toEqual(['4', '3']);
  });

  test('what is missing before one tap sticks it', () => {
    expect(missingWords(PLAN)).toBe('To stick it, first note where it will stand, its target sheet below.');
    expect(missingWords({ ...PLAN, placeId: 'a', sheetId: 'b' })).toBeNull();
    expect(mediumWords(PLAN)).toBe('opened before, not sterile');
  });
});

describe('the form of a plan', () => {
  test('a new one has no step chosen and no hormone suggested', () => {
    const values = planValues(null, KNOWN);
    expect(values.steps).toEqual([
      { id: 'nitrogen', name: null, chosen: false, days: '14' },
      { id: 'banding', name: null, chosen: false, days: '28' },
    ]);
    expect(Object.values(values.texts).join('')).toBe('');
  });

  test('what a plan says comes back as it was', () => {
    const { body } = planOf(planValues(PLAN, KNOWN));
    expect(body).toEqual(bodyOf(PLAN));
    expect(body?.steps).toEqual([
      { id: 'nitrogen', name: null, daysBefore: 14 },
      { id: 'own-1', name: 'Sharpen the knife', daysBefore: 0 },
    ]);
    expect(nextOwnId(PLAN.steps)).toBe('own-2');
  });

  test.each([
    [{ crop: ' ' }, 'crop'],
    [{ stickOn: '' }, 'stickOn'],
    [{ count: '0' }, 'count'],
    [{ steps: [{ id: 'nitrogen', name: null, chosen: true, days: '1501' }] }, 'step nitrogen'],
    [{ steps: [{ id: 'own-1', name: ' ', chosen: true, days: '1' }] }, 'step own-1'],
  ])('%j is refused', (change, field) => {
    const { body, errors } = planOf({ ...planValues(PLAN, KNOWN), ...change });
    expect(body).toBeNull();
    expect(Object.keys(errors ?? {})).toEqual([field]);
  });
});
