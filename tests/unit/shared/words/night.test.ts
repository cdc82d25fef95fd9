import { describe, expect, test } from 'vitest';
import type { AlarmState } from '../../../../shared/model/alarms/alarm.ts';
import { answeredOf } from '../../../../shared/model/alarms/answered.ts';
import { heldOf, kindsWorthSaying, nightSentence } from '../../../../shared/words/night.ts';
import { leadWords } from '../../../../shared/words/night-lead.ts';
import {
  answeredWords,
  doseWords,
  firstAction,
  limitWords,
  nextStepWords,
  peakWords,
  timeLeftWords,
} from '../../../../shared/words/night-row.ts';
import { excursion, gap, hourOf, rowOf, TO_MS, VIEW } from '../../web/night/examples.ts';

const CELSIUS = { unit: 'C', timeZone: 'UTC', nowMs: TO_MS } as const;
const FAHRENHEIT = { ...CELSIUS, unit: 'F' } as const;
const HOT = excursion({
  kind: 'air-over-ceiling',
  peak: 31.2,
  limit: 26.7,
  from: hourOf(1),
  to: hourOf(2),
  overLimitHours: 1,
  dose: 2.5,
  harm: 0.2,
});
const WARM = excursion({
  kind: 'air-above-band',
  peak: 26.7,
  limit: 18,
  from: hourOf(0.9),
  to: hourOf(1),
  overLimitHours: 0.1,
  harm: 0,
});

describe('the sentence of a night', () => {
  test('is made for whoever reads °F from the same excursions: a difference without the 32 of a temperature', () => {
    const row = rowOf('sill', { excursions: [excursion()] });
    expect(nightSentence(row, VIEW, CELSIUS)).toBe('Root zone was 2.0 °C below its band for 2 h from 02:00.');
    expect(nightSentence(row, VIEW, FAHRENHEIT)).toBe(
      'Root zone was 3.6 °F below its band for 2 h from 02:00.',
    );
  });

  test('says the clock alone, as the heading says which night it is', () => {
    const row = rowOf('sill', { excursions: [HOT] });
    expect(nightSentence(row, VIEW, CELSIUS)).toBe('Air was 4.5 °C over its ceiling for 1 h from 22:00.');
  });

  test('leaves out the band on the way to a ceiling, but not where it was left for longer', () => {
    const row = rowOf('sill', { excursions: [WARM, HOT] });
    expect(nightSentence(row, VIEW, CELSIUS)).not.toContain('above its band');
    const longer = { ...WARM, overLimitHours: 3, from: hourOf(3), to: hourOf(6) };
    expect(nightSentence(rowOf('sill', { excursions: [HOT, longer] }), VIEW, CELSIUS)).toContain(
      'above its band for 3 h',
    );
  });

  test('does not say throughout of a place that was out of a band for a moment', () => {
    const moment = { ...WARM, overLimitHours: 2 / 60 };
    expect(nightSentence(rowOf('sill', { excursions: [moment] }), VIEW, CELSIUS)).toBe(
      'Within its bands but for less than 5 min.',
    );
  });

  test('does not count out what no good probe can tell from the edge of a band', () => {
    const edge = { ...WARM, peak: (WARM.limit ?? 0) + 0.1, overLimitHours: 4 };
    const row = rowOf('sill', { excursions: [edge] });
    expect(nightSentence(row, VIEW, CELSIUS)).toBe('Within its bands but for less than 0.2 °C.');
    expect(nightSentence(row, VIEW, FAHRENHEIT)).toBe('Within its bands but for less than 0.4 °F.');
    const both = rowOf('sill', { excursions: [edge, excursion()] });
    expect(nightSentence(both, VIEW, CELSIUS)).toBe(
      'Root zone was 2.0 °C below its band for 2 h from 02:00.',
    );
  });

  test('says how long nothing was read, and never well of what was not seen', () => {
    const row = rowOf('sill', { excursions: [gap(8, null)], coverage: 0.8 });
    expect(nightSentence(row, VIEW, CELSIUS)).toBe(
      'Within its bands while it was seen. Not known for 2 h: there were no readings.',
    );
  });
});

test('stretches of one kind are one: their hours and doses added, the furthest of them shown, worst kind first', () => {
  const [first, second] = kindsWorthSaying({
    excursions: [
      excursion(),
      HOT,
      excursion({ from: hourOf(8), to: null, peak: 17, overLimitHours: 2, dose: 5 }),
    ],
  });
  expect(first).toMatchObject({
    kind: 'root-zone-below-band',
    count: 2,
    totalMs: 4 * 3_600_000,
    dose: 8,
    endedMs: null,
  });
  expect(first?.furthestOne.peak).toBe(17);
  expect(second).toMatchObject({ kind: 'air-over-ceiling', endedMs: Date.parse(hourOf(2)) });
});

describe('the figures of a row', () => {
  test.each([
    ['°C', CELSIUS, '31.2 °C', 'limit 26.7 °C', '2.5 °C·h'],
    ['°F', FAHRENHEIT, '88.2 °F', 'limit 80.1 °F', '4.5 °F·h'],
  ])('name peak, limit and dose for whoever reads %s', (_, reader, peak, limit, dose) => {
    expect([peakWords(HOT, reader), limitWords(HOT, reader), doseWords(HOT, reader)]).toEqual([
      peak,
      limit,
      dose,
    ]);
  });

  test('of dry air are kPa for every reader, and of no readings there are none', () => {
    const dry = excursion({
      kind: 'vpd-above-band',
      peak: 1.74,
      limit: 0.5,
      unit: 'kPa',
      dose: 0.4,
      doseUnit: 'kPa·h',
    });
    expect([peakWords(dry, FAHRENHEIT), limitWords(dry, FAHRENHEIT), doseWords(dry, FAHRENHEIT)]).toEqual([
      '1.74 kPa',
      'limit 0.50 kPa',
      '0.40 kPa·h',
    ]);
    expect([peakWords(gap(1, 2), CELSIUS), limitWords(gap(1, 2), CELSIUS)]).toEqual([null, null]);
  });

  test.each([
    [null, null],
    [0.4, 'damage expected by now'],
    [95, 'damage expected in 1 h 35 min'],
    [1440, null],
  ])('with %s minutes left say %s', (minutesLeft, words) => {
    expect(timeLeftWords({ minutesLeft })).toBe(words);
  });
});

describe('what to do next', () => {
  const still = { to: null };
  test('is the action of the alarm that was raised, else of the first rule about the kind', () => {
    const raised = excursion({ ...still, kind: 'air-over-ceiling', alarmId: 'b.1.air-far-over-ceiling' });
    expect(nextStepWords({ excursions: [raised] })).toBe(
      'Shade it now, open vents and any cover, then mist lightly.',
    );
    expect(nextStepWords({ excursions: [{ ...raised, alarmId: null }] })).toBe(
      'Shade it first, then open vents and any cover.',
    );
  });

  test('is to look at the cuttings where nothing is read, and what to check where it is over', () => {
    expect(nextStepWords({ excursions: [excursion(still), gap(9, null)] })).toMatch(/^Look at the cuttings/);
    expect(nextStepWords({ excursions: [excursion()] })).toMatch(/^Look at the mat/);
  });

  test('is nothing where air is above its band and harms nobody, or all was well', () => {
    expect(nextStepWords({ excursions: [{ ...WARM, ...still, overLimitHours: 1 }] })).toBeNull();
    expect(nextStepWords({ excursions: [] })).toBeNull();
  });

  test.each([
    ['Shade it first, then open vents and any cover.', 'Shade it first'],
    ['Check whether the mat is warm; then its plug.', 'Check whether the mat is warm'],
    ['Look at the leaves for dark, glassy patches.', 'Look at the leaves for dark, glassy patches'],
    ['Draw the shade.', 'Draw the shade'],
  ])('begins, of "%s", with "%s"', (action, first) => {
    expect(firstAction(action)).toBe(first);
  });
});

describe('who answered', () => {
  const raised = excursion({ alarmId: 'sill.root-below-band' });
  test.each([
    ['nobody was called', [excursion()], 'no-alarm', null],
    ['Robin did', [{ ...raised, acknowledgedBy: 'Robin' }], 'no-alarm', 'acknowledged by Robin'],
    ['nobody has', [raised], 'unacknowledged', 'no answer yet'],
    ['nobody did before it was over', [raised], 'no-alarm', 'alarm raised, not acknowledged'],
    [
      'Robin did, and a second waits',
      [{ ...raised, acknowledgedBy: 'Robin' }, raised],
      'unacknowledged',
      'acknowledged by Robin; no answer yet',
    ],
  ] as const)('%s', (_, excursions, answered, words) => {
    expect(answeredWords({ excursions: [...excursions], answered })).toBe(words);
  });
});

describe('the first line', () => {
  type One = Parameters<typeof leadWords>[0][number];
  const marked = (mark: One['mark'], ...names: string[]): One[] =>
    names.map((name) => ({ name, mark, held: 'throughout' }));

  test('names who needs somebody before all else, and counts those that did well', () => {
    const all = [
      ...marked('unanswered', 'Bench 18'),
      ...marked('back', 'Bench 4', 'Bench 9'),
      ...marked('fine', 'a', 'b'),
    ];
    expect(leadWords(all, true)).toEqual({
      urgent: '1 place needs somebody now: Bench 18.',
      rest: '2 places were out and are back: Bench 4, Bench 9. The other 2 places stayed within their bands.',
    });
  });

  test('of a quiet night says so, and of many names four', () => {
    expect(leadWords(marked('fine', 'a', 'b', 'c'), true)).toEqual({
      urgent: null,
      rest: 'All 3 places stayed within their bands.',
    });
    expect(leadWords(marked('back', 'a', 'b', 'c', 'd', 'e', 'f'), false).rest).toBe(
      '6 places were out and are back: a, b, c, d and 2 more.',
    );
  });

  const moment = { ...WARM, overLimitHours: 2 / 60 };
  const harmless = { ...WARM, overLimitHours: 2 };
  const nights = {
    throughout: rowOf('a'),
    'while-read': rowOf('b', { excursions: [gap(2, 3)], coverage: 0.9 }),
    nearly: rowOf('c', { excursions: [moment] }),
    left: rowOf('d', { excursions: [harmless] }),
    unknown: rowOf('e', { coverage: 0 }),
  } as const;
  const fineOf = (...rows: (typeof nights)[keyof typeof nights][]): One[] =>
    rows.map((row) => ({ name: row.name, mark: 'fine', held: heldOf(row) }));

  test.each(Object.entries(nights))('takes a night that was %s for what it was', (held, row) => {
    expect(heldOf(row)).toBe(held);
  });

  test('does not say that places stayed within their bands that left them, were not read, or are not known', () => {
    expect(leadWords(fineOf(...Object.values(nights)), true).rest).toBe(
      [
        '1 place stayed within its bands.',
        '1 place stayed within its bands while there were readings.',
        '1 place stayed within its bands but for less than 5 min.',
        '1 place went beyond a limit, with too little harm to need watching.',
        '1 place: how it did in the night is not known.',
      ].join(' '),
    );
    expect(leadWords(fineOf(nights.nearly, nights.nearly), true).rest).toBe(
      'All 2 places stayed within their bands but for less than 5 min.',
    );
    expect(leadWords([...marked('back', 'z'), ...fineOf(nights.unknown)], true).rest).toBe(
      '1 place was out and is back: z. The other 1 place: how it did in the night is not known.',
    );
  });

  test('names the only place there is', () => {
    expect(leadWords(fineOf(nights.throughout), true).rest).toBe('a stayed within its bands.');
  });
});

describe('whether somebody answered', () => {
  const states = (...all: AlarmState[]) => all.map((state) => ({ state }));
  test.each([
    ['no-alarm', states()],
    ['no-alarm', states('normal', 'returned-unacknowledged', 'latched-unacknowledged')],
    ['acknowledged', states('acknowledged', 'normal')],
    ['unacknowledged', states('acknowledged', 'unacknowledged')],
  ] as const)('is %s of %j', (answered, alarms) => {
    expect(answeredOf(alarms)).toBe(answered);
  });
});
