import { describe, expect, test } from 'vitest';
import type { BatchWeaning } from '../../../../../shared/wire/cuttings/weaning.ts';
import { stepValues, weaningOf } from '../../../../../web/batches/care/weaning-form.ts';
import {
  bandWords,
  ruleWords,
  stepHours,
  stepStateWords,
  weaningWords,
} from '../../../../../web/batches/care/weaning-words.ts';
import { AT, ago } from '../examples.ts';

const plain = (words: readonly string[]) => words.map((one) => one.replaceAll('\u00a0', ' '));
const STEP = { days: 3, lowKpa: 0.3, highKpa: 0.6 };
const PLAN = { from: ago(2), gateShare: 0.8, steps: [STEP] };

function weaning(change: Partial<BatchWeaning> & Pick<BatchWeaning, 'verdict'>): BatchWeaning {
  const gate = { state: 'no-count', count: null, metBeforeStart: false } as const;
  return {
    plan: PLAN,
    usual: { gateShare: 0.8, steps: [STEP], source: '' },
    heldShare: 0.8,
    gate,
    steps: [],
    ...change,
  };
}

describe('how the weaning stands', () => {
  const met = {
    state: 'met',
    count: { at: ago(0.1), looked: 20, rooted: 17 },
    metBeforeStart: false,
  } as const;

  test('weaned is said with the tug test behind it, and that it began before it', () => {
    expect(plain(weaningWords(weaning({ verdict: 'weaned', gate: met }), AT))).toEqual([
      'Weaned: every step was held, and the tug test found enough rooted.',
      'Tug test: 17 of 20 rooted (85 %), counted 09:36; the plan asks for 80 % rooted.',
      'It began before a tug test had found as many.',
    ]);
  });

  test('where the tug test was before, nothing more is said; where there was none, that is', () => {
    const gate = { ...met, metBeforeStart: true };
    expect(weaningWords(weaning({ verdict: 'under-way', gate }), AT)).toHaveLength(2);
    expect(plain(weaningWords(weaning({ verdict: 'no-tug-test' }), AT))).toEqual([
      'Every step was held. Whether it is weaned is not known before a tug test: enter a count.',
      'Tug test: none yet; the plan asks for 80 % rooted.',
      'It began before any tug test.',
    ]);
  });

  test.each([
    'ahead',
    'under-way',
    'cut-short',
    'not-held',
    'cannot-be-judged',
    'no-tug-test',
    'too-few-rooted',
  ] as const)('%s never calls the batch weaned or ready', (verdict) => {
    const [words] = weaningWords(weaning({ verdict, gate: met }), AT);
    expect(words).not.toMatch(/^Weaned|ready/i);
  });

  test('without a plan there is nothing to say', () => {
    expect(weaningWords(weaning({ verdict: null, plan: null, gate: null }), AT)).toEqual([]);
  });
});

test('a step says its band, whether it was held, and no hours before it begins', () => {
  expect(plain([bandWords(STEP)])).toEqual(['0.30 to 0.60 kPa']);
  expect(stepStateWords({ state: 'over', held: 'cannot-be-judged' })).toBe('cannot be judged');
  expect(stepStateWords({ state: 'running', held: null })).toBe('running');
  expect(stepHours({ hours: 0 }, 0)).toBe('–');
  expect(plain([stepHours({ hours: 5 }, 0)])).toEqual(['0.0 h']);
  expect(ruleWords({ heldShare: 0.8 })).toContain('no paper was found');
});

describe('the form of a plan', () => {
  const at = { stuckMs: Date.UTC(2026, 2, 2), timeZone: 'Asia/Tokyo' };
  const values = {
    from: '2026-03-12T09:00',
    gatePct: '80',
    steps: [stepValues(STEP), { days: '4', low: '0,5', high: '0.8' }],
  };

  test('is read with points and commas, its time by the wall clock', () => {
    expect(weaningOf(values, at).body).toEqual({
      from: '2026-03-12T00:00:00.000Z',
      gateShare: 0.8,
      steps: [STEP, { days: 4, lowKpa: 0.5, highKpa: 0.8 }],
    });
  });

  test.each([
    [{ from: '' }, 'from', 'a date and a time'],
    [{ from: '2026-03-01T09:00' }, 'from', 'that is before the batch was stuck'],
    [{ gatePct: '0' }, 'gatePct', 'a share from 1 to 100 %'],
    [{ gatePct: '' }, 'gatePct', 'a share from 1 to 100 %'],
    [{ steps: [{ days: '', low: '1', high: '2' }] }, 'step 0', 'days from 0.25 to 60'],
    [{ steps: [{ days: '1', low: '', high: '2' }] }, 'step 0', 'VPD from 0 to 5 kPa'],
    [{ steps: [{ days: '1', low: '1', high: '6' }] }, 'step 0', 'VPD from 0 to 5 kPa'],
    [{ steps: [{ days: '1', low: '1', high: '1' }] }, 'step 0', 'the upper end must lie above the lower'],
  ])('%j is refused', (change, field, words) => {
    expect(weaningOf({ ...values, ...change }, at)).toEqual({ body: null, errors: { [field]: words } });
  });
});
