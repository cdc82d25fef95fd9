import { describe, expect, test } from 'vitest';
import type { MistAnswer, VentsAnswer, VentView } from '../../../../shared/wire/http.ts';
import { filmWords, mistWords, ventsWords, ventWords } from '../../../../web/record/mist-words.ts';
import type { Sentence } from '../../../../web/record/span-words.ts';
import { NOW_MS } from '../examples.ts';

const READER = { unit: 'C', timeZone: 'UTC', nowMs: NOW_MS } as const;
const at = (clock: string) => `2026-03-05T${clock}:00.000Z`;
const said = (sentence: Sentence | null) =>
  sentence
    ?.map((piece) => (typeof piece === 'string' ? piece : piece.text))
    .join('')
    .replaceAll('\u00a0', ' ');
const paths = (sentence: Sentence | null) =>
  sentence?.flatMap((piece) => (typeof piece === 'object' && piece.path ? [piece.path] : []));

const MIST: MistAnswer = {
  placeId: 'a',
  from: at('00:00'),
  to: at('14:00'),
  how: 'valve',
  pulses: 67,
  missed: 0,
  pulsesPerHourInLight: 5,
  pulsesPerHourInDark: 0.18,
  patternMin: 12,
  patternFrom: 'from the record',
  longestDryGap: { from: at('09:12'), to: at('09:24') },
  coveredHours: 24,
  reliable: true,
  reason: null,
  film: null,
};

describe('mist', () => {
  test('67 pulses by the valve: rates in light and dark, none missed of a pattern of 12 min, the longest dry gap', () => {
    expect(said(mistWords(MIST, READER))).toBe(
      '67 pulses seen by the valve over 24.0 h: 5.0 an hour in light, 0.2 in the dark. ' +
        'None missed against a pulse every 12 min, a pattern taken from the record itself. ' +
        'Longest dry gap in light 12 min, 09:12 to 09:24.',
    );
    expect(paths(mistWords(MIST, READER))).toEqual([
      'pulses',
      'coveredHours',
      'pulsesPerHourInLight',
      'pulsesPerHourInDark',
      'missed',
      'patternMin',
      'longestDryGap',
    ]);
  });

  test('3 missed against a stated 10 min say that it was stated; in the dark alone there is one rate', () => {
    const stated = { ...MIST, missed: 3, patternMin: 10, patternFrom: 'stated' as const };
    expect(said(mistWords({ ...stated, pulsesPerHourInLight: null }, READER))).toMatch(
      /24\.0 h: 0\.2 in the dark\. 3 missed against a pulse every 10 min, as stated for this place\./,
    );
  });

  test('4 pulses that are not to be counted on say why in words, and no rate is made of them', () => {
    const doubtful: MistAnswer = {
      ...MIST,
      how: 'humidity',
      pulses: 4,
      reliable: false,
      reason: 'readings too far apart for the pattern',
    };
    expect(said(mistWords(doubtful, READER))).toBe(
      '4 pulses seen in the humidity record over 24.0 h, unreliable: the readings lie too far apart to show each pulse.',
    );
  });

  test('without a pulse nothing is said', () => {
    expect(mistWords({ ...MIST, pulses: 0 }, READER)).toBeNull();
    expect(mistWords({ ...MIST, how: null }, READER)).toBeNull();
  });
});

describe('a film of mist', () => {
  const film = {
    atAirTemperatureMin: 134,
    cooledMin: 227,
    inLight: null,
    assumptions: ['a leaf 5 cm wide', 'still air'],
  };

  test('dries in 227 min, 134 with the leaf held at air temperature: 3 h 47 min and 2 h 14 min, marked as an estimate', () => {
    const words = filmWords(film);
    expect(said(words)).toContain(
      'In the present air a film would dry off in about 3 h 47 min (2 h 14 min with the leaf held at air temperature); mist',
    );
    expect(words.filter((piece) => typeof piece === 'object')).toEqual([
      { text: '3 h 47 min', path: 'film.cooledMin', estimated: true },
      { text: '2 h 14 min', path: 'film.atAirTemperatureMin', estimated: true },
    ]);
    expect(said(words)).toContain('Estimated for a leaf 5 cm wide; still air.');
  });

  test('in light, dries in 48 min there, or even in saturated air where the dark would not dry it', () => {
    const lit = { ...film, inLight: { dryingMin: 48, netRadiationWM2: 150 } };
    expect(said(filmWords(lit))).toContain(' at air temperature); in the light of now in about 48 min; mist');
    expect(filmWords(lit)).toContainEqual({
      text: '48 min',
      path: 'film.inLight.dryingMin',
      estimated: true,
    });
    expect(said(filmWords({ ...lit, cooledMin: null, atAirTemperatureMin: null }))).toContain(
      'In the present air a film would not dry off; in the light of now in about 48 min.',
    );
    expect(said(filmWords({ ...film, inLight: { dryingMin: null, netRadiationWM2: 5 } }))).toContain(
      '; in the light of now it would not dry off',
    );
  });

  test('in saturated air it does not dry off, cooled or not', () => {
    expect(said(filmWords({ ...film, cooledMin: null }))).toContain(
      'a film would not dry off (in about 2 h 14 min with the leaf held at air temperature)',
    );
    expect(said(filmWords({ ...film, cooledMin: null, atAirTemperatureMin: null }))).toContain(
      'In the present air a film would not dry off.',
    );
  });
});

const VENTS: VentsAnswer = {
  placeId: 'a',
  from: at('00:00'),
  to: at('14:00'),
  vents: [],
  reliable: true,
  reason: null,
  hoursSinceVent: 5,
  hoursSaturatedSinceVent: 1.5,
};
const VENT: VentView = {
  id: null,
  from: at('08:30'),
  to: at('09:15'),
  how: 'recognised',
  note: null,
  lowestPct: 72.3,
  humidityBack: true,
};

describe('vents', () => {
  test('the last one 5 h back with 1.5 h saturated since; none in the span; and why none is recognised', () => {
    expect(said(ventsWords(VENTS))).toBe(
      'Last vent 5.0 h before the end of this span; saturated 1.5 h since.',
    );
    expect(paths(ventsWords(VENTS))).toEqual(['hoursSinceVent', 'hoursSaturatedSinceVent']);
    const none = { ...VENTS, hoursSinceVent: null, reliable: false, reason: 'readings too far apart' };
    expect(said(ventsWords(none))).toBe(
      'No vent in this span; 1.5 h of it saturated. Vents are not recognised here, only logged: the readings lie too far apart to tell an opened cover from a dry half hour.',
    );
  });

  test.each([
    [{}, '08:30 to 09:15: recognised, down to 72 %RH, humidity came back.'],
    [
      { humidityBack: false },
      '08:30 to 09:15: recognised, down to 72 %RH, humidity did not come back within 2 h.',
    ],
    [{ to: null, humidityBack: null }, '08:30, still open: recognised, down to 72 %RH.'],
    [
      { id: 4, how: 'logged', to: null, lowestPct: null, humidityBack: null, note: 'to dry off' },
      '08:30, end not logged: logged, “to dry off”.',
    ],
    [{ id: 5, how: 'logged', to: at('08:30'), lowestPct: null, humidityBack: null }, '08:30: logged.'],
  ] as const)('vent %o reads "%s"', (change, words) => {
    expect(said(ventWords({ vent: { ...VENT, ...change }, index: 0 }, READER))).toBe(words);
  });

  test('the lowest humidity of the 3rd can be asked about, that of a vent without one cannot', () => {
    expect(paths(ventWords({ vent: VENT, index: 2 }, READER))).toEqual(['vents.2.lowestPct']);
    expect(paths(ventWords({ vent: { ...VENT, lowestPct: null }, index: 2 }, READER))).toEqual([]);
  });
});
