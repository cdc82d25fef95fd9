import { expect, test } from 'vitest';
import { DEFAULT_PLACE_SETTINGS, placePatchSchema } from '../../../../../shared/model/place.ts';
import { ceilingAlarmOf } from '../../../../../shared/rules/ceiling-alias.ts';
import {
  SETTING_GROUPS,
  settingsBodyOf,
  settingsErrors,
  settingsFormOf,
} from '../../../../../web/place/forms/settings-form.ts';

const SETTINGS = { ...DEFAULT_PLACE_SETTINGS, ceilingAlarm: ceilingAlarmOf({}) };
const FORM = settingsFormOf(SETTINGS, 'C');
const LOCATED = {
  ...SETTINGS,
  altitudeM: 300,
  coordinates: { latitudeDeg: 52.5, longitudeDeg: -13.4 },
};

test('every setting has an input in a unit a person would type: 5 cm, 15 min, 60 s, and nothing where nothing is stated', () => {
  expect(SETTING_GROUPS.flatMap(({ fields }) => fields)).toHaveLength(16);
  expect(FORM).toMatchObject({
    'leaf.widthM': '5',
    maxGapMs: '15',
    'ceilingAlarm.onDelayMs': '60',
    lightSource: 'daylight',
    altitudeM: '',
    'coordinates.latitudeDeg': '',
    'sensorError.humidityPct': '',
    mistEveryMin: '',
  });
});

test.each([
  ['not stated', SETTINGS],
  ['52.5 north, 13.4 west, 300 m', LOCATED],
])('settings with a place %s go back as they came', (_, settings) => {
  expect(settingsBodyOf(settingsFormOf(settings, 'C'), settings, 'C')).toEqual({ settings });
});

test('7,5 cm, 0.5 min and 90 s are 0.075 m, 30 000 ms and 90 000 ms, and the daemon takes them', () => {
  const typed = { ...FORM, 'leaf.widthM': '7,5', maxGapMs: '0.5', 'ceilingAlarm.offDelayMs': '90' };
  const { settings } = settingsBodyOf(typed, SETTINGS, 'C');
  const taken = placePatchSchema.parse({ settings }).settings;
  expect(taken).toMatchObject({
    leaf: { widthM: 0.075 },
    maxGapMs: 30_000,
    ceilingAlarm: { offDelayMs: 90_000 },
  });
});

test('a zone is words, also where they are a number; an empty one is none', () => {
  const zoneOf = (zone: string) => settingsBodyOf({ ...FORM, zone }, SETTINGS, 'C').settings?.zone;
  expect([zoneOf(' North house '), zoneOf('3'), zoneOf(' ')]).toEqual(['North house', '3', null]);
});

test('a latitude alone and a word go to the daemon as they are, so that it says what is wrong', () => {
  const typed = { ...FORM, 'coordinates.latitudeDeg': '52.5', leafOffsetK: 'warm' };
  const { settings } = settingsBodyOf(typed, SETTINGS, 'C');
  expect(settings).toMatchObject({
    coordinates: { latitudeDeg: 52.5, longitudeDeg: null },
    leafOffsetK: 'warm',
  });
});

test('both coordinates emptied state no place any more', () => {
  const typed = {
    ...settingsFormOf(LOCATED, 'C'),
    'coordinates.latitudeDeg': '',
    'coordinates.longitudeDeg': ' ',
  };
  expect(settingsBodyOf(typed, LOCATED, 'C').settings).toMatchObject({ coordinates: null, altitudeM: 300 });
});

test('a limit of 0.5 m is shown as 50 cm, one of 10 000 ms as 0.17 min, and one of 6000 m as it is', () => {
  // by hand: 10 000 ms / 60 000 = 0.1667 min
  expect(
    settingsErrors(
      {
        'settings.leaf.widthM': 'Too big: expected number to be <=0.5',
        'settings.maxGapMs': 'Too small: expected number to be >=10000',
        'settings.altitudeM': 'Too big: expected number to be <=6000',
      },
      'C',
    ),
  ).toEqual({
    'leaf.widthM': 'Too big: expected number to be <=50',
    maxGapMs: 'Too small: expected number to be >=0.17',
    altitudeM: 'Too big: expected number to be <=6000',
  });
});

test('differences are typed in °F by who reads °F, kept in K, and their limits said in °F', () => {
  const settings = { ...SETTINGS, sensorError: { ...SETTINGS.sensorError, temperatureK: 0.3 } };
  const form = settingsFormOf(settings, 'F');
  expect(form['sensorError.temperatureK']).toBe('0.54');
  expect(settingsBodyOf(form, settings, 'F')).toEqual({ settings });
  const typed = { ...form, 'sensorError.temperatureK': '0.9' };
  expect(settingsBodyOf(typed, settings, 'F').settings?.sensorError?.temperatureK).toBe(0.5);
  const limit = { 'settings.leafOffsetK': 'Too big: expected number to be <=5' };
  expect(settingsErrors(limit, 'F')).toEqual({ leafOffsetK: 'Too big: expected number to be <=9' });
});
