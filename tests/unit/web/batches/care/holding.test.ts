import { describe, expect, test } from 'vitest';
import type { BatchHolding } from '../../../../../shared/wire/cuttings/holding.ts';
import { heldOf, heldValues } from '../../../../../web/batches/care/held-form.ts';
import {
  cutHourWords,
  heldWords,
  lantanaWords,
  limitWords,
} from '../../../../../web/batches/care/holding-words.ts';

const plain = (words: readonly string[]) => words.map((one) => one.replaceAll('\u00a0', ' '));
const HELD: BatchHolding = {
  hoursFromCut: null,
  hoursFromOpening: null,
  cutHour: null,
  boxPlaceId: null,
  box: null,
  limits: [],
};

describe('how long cuttings were held is said with what is not known of it', () => {
  test('nothing noted', () => {
    expect(plain(heldWords(HELD, 'C'))).toEqual([
      'How long they were held is not known: neither the cut nor the opening of a box is noted.',
    ]);
  });

  test('a box opened 3 h before sticking, 50 h after the cut, from 9 to 14 °C, in °F too', () => {
    const box = { from: '', to: '', hours: 53, coveredHours: 50, minC: 9, meanC: 11, maxC: 14 };
    const held = { ...HELD, hoursFromCut: 53, hoursFromOpening: 3, box };
    expect(plain(heldWords(held, 'C'))).toEqual([
      'Stuck 3.0 h after the box was opened.',
      'Stuck 53.0 h after the cut.',
      'In the box 9.0 °C to 14.0 °C, 11.0 °C on average, in 50.0 h on record of 53.0 h.',
    ]);
    expect(plain(heldWords(held, 'F'))[2]).toContain('48.2 °F to 57.2 °F, 51.8 °F on average');
  });

  test('a probe that read nothing is no temperature of 0', () => {
    const box = { from: '', to: '', hours: 2, coveredHours: 0, minC: null, meanC: null, maxC: null };
    expect(heldWords({ ...HELD, hoursFromCut: 2, box }, 'C')[1]).toBe(
      'How warm they were meanwhile is not known: nothing was read in the box.',
    );
  });
});

describe('the published limit', () => {
  const opening = { kind: 'after-opening', hours: 4, source: 'HR44' } as const;
  test.each([
    [
      'within',
      'Within the limit. Geranium is to be stuck within 4 h, counted from the opening of the box [HR44].',
    ],
    [
      'over',
      'Over the limit. Geranium is to be stuck within 4 h, counted from the opening of the box [HR44].',
    ],
    [
      'cannot-be-judged',
      'Geranium is to be stuck within 4 h, counted from the opening of the box [HR44]; whether it was cannot be judged: the opening is not noted.',
    ],
    [
      'does-not-apply',
      'Geranium is to be stuck within 4 h, counted from the opening of the box [HR44]. For wood cut at home no limit is published.',
    ],
  ] as const)('%s', (verdict, words) => {
    expect(limitWords({ limits: [{ ...opening, verdict }] }, 'geranium', 'C')).toEqual([words]);
  });

  test('petunia is told in days and in the unit of the reader', () => {
    const warm = {
      kind: 'warm-in-box',
      temperatureC: 15,
      inclusive: false,
      hours: 72,
      source: 'PET05',
    } as const;
    const limits = [{ ...warm, heldHours: 80, verdict: 'over' as const }];
    expect(plain(limitWords({ limits }, 'Petunia', 'F'))).toEqual([
      'Over the limit. Petunia is spoilt by 3 days in the box above 59.0 °F [PET05]: 80.0 h there on record.',
    ]);
  });

  test('of a crop without one that is said', () => {
    expect(limitWords({ limits: [] }, 'camellia', 'C')).toEqual([
      'No limit of holding is published for camellia.',
    ]);
  });
});

test('the figures of lantana are no advice, and read in °F where the reader reads °F', () => {
  expect(cutHourWords({ cutHour: 8 })).toBe('Cut in the hour from 08:00.');
  expect(cutHourWords({ cutHour: null })).toBeNull();
  expect(plain([lantanaWords('F')])[0]).toContain(
    'for 4 days at 68.0 °F: cut at 8, 12 and 16 h they shed 69, 22 and 8 %',
  );
  expect(lantanaWords('C')).toContain('no advice for other crops');
});

describe('the form of cut and box', () => {
  const at = { stuckMs: Date.UTC(2026, 2, 2, 8), timeZone: 'Asia/Tokyo' };
  const empty = { cutAt: '', cutHour: '', boxOpenedAt: '', boxPlaceId: '' };

  test('left empty notes nothing, and takes back what was noted', () => {
    expect(heldOf(empty, at).body).toEqual({
      cutAt: null,
      cutHour: null,
      boxOpenedAt: null,
      boxPlaceId: null,
    });
  });

  test('times are those of the wall clock of the installation; the hour alone counts where there is no time', () => {
    const cutAt = '2026-03-02T16:00';
    expect(heldOf({ ...empty, cutAt, cutHour: '9' }, at).body).toMatchObject({
      cutAt: '2026-03-02T07:00:00.000Z',
      cutHour: null,
    });
    expect(heldOf({ ...empty, cutHour: '9' }, at).body).toMatchObject({ cutHour: 9 });
    const noted = { cutAt: '2026-03-02T07:00:00Z', cutHour: null, boxOpenedAt: null, boxPlaceId: 'box' };
    expect(heldValues(noted, at.timeZone)).toEqual({ ...empty, cutAt, boxPlaceId: 'box' });
  });

  test('a cut after sticking, a box opened before the cut and half a date are each said at their field', () => {
    expect(heldOf({ ...empty, cutAt: '2026-03-02T17:01' }, at).errors).toEqual({
      cutAt: 'that is after the batch was stuck',
    });
    const times = { cutAt: '2026-03-02T12:00', boxOpenedAt: '2026-03-02T11:00' };
    expect(heldOf({ ...empty, ...times }, at).errors).toEqual({ boxOpenedAt: 'that is before the cut' });
    expect(heldOf({ ...empty, boxOpenedAt: '2026-03' + '-99T' }, at).errors).toEqual({
      boxOpenedAt: 'a date and a time',
    });
  });
});
