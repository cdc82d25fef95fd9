import { expect, test } from 'vitest';
import { quantityFromWords } from '../../../shared/quantities.ts';

/** Column names and keys as loggers write them; common practice, no source. */
test.each([
  ['Temp (°C)', 'air/temperature'],
  ['t', 'air/temperature'],
  ['soilTemp', 'root/temperature'],
  ['bed_mat_temperature', 'root/temperature'],
  ['Bodentemperatur', 'root/temperature'],
  ['Température racine', 'root/temperature'],
  ['temperatura del suelo', 'root/temperature'],
  ['leaf temperature', 'leaf/temperature'],
  ['Außentemperatur', 'outside/temperature'],
  ['buitentemperatuur', 'outside/temperature'],
  ['RH %', 'air/humidity'],
  ['Luftfeuchte', 'air/humidity'],
  ['humidité', 'air/humidity'],
  ['humedad relativa', 'air/humidity'],
  ['luchtvochtigheid', 'air/humidity'],
  ['lux', 'light/illuminance'],
  ['Beleuchtungsstärke', 'light/illuminance'],
  ['PPFD', 'light/ppfd'],
  ['leaf_wetness', 'leaf/wetness'],
  ['mistValve', 'mist/valve'],
  ['Heizleistung W', 'heat/power'],
  ['mat power', 'heat/power'],
  ['batt_pct', 'battery/level'],
  ['Soil moisture %', 'medium/moisture'],
  ['Bodenfeuchte', 'medium/moisture'],
  ['VWC', 'medium/moisture'],
  ['humedad del suelo', 'medium/moisture'],
  ['leaf humidity', null],
  ['pressure', null],
  ['id', null],
])('"%s" means %s', (text, quantity) => {
  expect(quantityFromWords(text)).toBe(quantity);
});
