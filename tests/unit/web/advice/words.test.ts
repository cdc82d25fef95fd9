import { describe, expect, test } from 'vitest';
import { heatSentence, helpedSentence, mistSentence } from '../../../../web/advice/words.ts';

const READER = { unit: 'C', timeZone: 'UTC', nowMs: 0 } as const;
const timer = (name: 'fixed' | 'advised') => ({
  timer: name,
  pulses: 10,
  waterLM2: 1,
  dryMinutes: 0,
  saturatedHours: 0,
  light: { middleMin: 20, fromMin: 15, toMin: 35 },
  dark: null,
});
const mist = {
  placeId: 'a',
  from: '',
  to: '',
  coveredHours: 160,
  everyMin: 10,
  crop: null,
  ageDays: null,
  timers: [timer('fixed'), timer('advised')],
  waterSavedShare: 0.62,
  assumptions: [],
  reason: null,
};

describe('advice in words', () => {
  test('of mist: by day and night, what it is now, and the water', () => {
    expect(mistSentence(mist)).toBe(
      'Mist in light every 20 min (15 min to 35 min), in the dark not at all. It is every 10 min now. That would take 62 % less water.',
    );
    expect(mistSentence({ ...mist, timers: [], reason: 'no-light' })).toContain('it needs a light probe');
  });

  const helped = {
    placeId: 'a',
    date: '2026-06-01',
    what: 'shade',
    transmission: 0.5,
    ceilingC: 26.7,
    as: { peakC: 31.2, hoursOverCeiling: 4 },
    would: { peakC: 27.9, low80C: 27.3, high80C: 28.5, hoursOverCeiling: 1.5 },
    skill: { maeK: 0.9, beforeMaeK: 2.1, days: 13 },
    reason: null,
  } as const;

  test('of a shade: the peak with its bounds, and the hours over the ceiling', () => {
    expect(helpedSentence(helped, READER).replaceAll('\u00a0', ' ')).toBe(
      'A shade that lets 50 % of the light through would have kept yesterday’s peak at 27.9 °C (27.3 °C to 28.5 °C) in place of 31.2 °C, and 1.5 h over its ceiling in place of 4.0 h.',
    );
  });

  test('of a shade is refused without skill, with the figures', () => {
    const refused = helpedSentence({ ...helped, would: null, reason: 'no-skill' }, READER);
    expect(refused.replaceAll('\u00a0', ' ')).toBe(
      'A shade that lets 50 % of the light through: not said. On 13 earlier days the model was off by 0.9 °C, “as the day before” by 2.1 °C.',
    );
  });

  test('of heat: energy, degree-hours and rooted cuttings; what is missing without power', () => {
    const paid = {
      placeId: 'a',
      from: '',
      to: '',
      how: 'measured',
      ratedW: null,
      days: [{ date: '2026-06-01', kWh: 1.2, heldKh: 100, coveredHours: 24 }],
      kWh: 1.2,
      heldKh: 100,
      wattHoursPerKh: 12,
      rooted: 80,
      kWhPerRooted: 0.015,
      reason: null,
    } as const;
    expect(heatSentence(paid)).toBe(
      'Bottom heat took 1.2 kWh, 1.20 kWh a day. It kept the root zone above the air for 100 K·h: 12.0 Wh each. That is 15 Wh for each of 80 rooted cuttings.',
    );
    expect(heatSentence({ ...paid, how: null, kWh: null, reason: 'no-power' })).toContain(
      'State the watts of the mat',
    );
  });
});
