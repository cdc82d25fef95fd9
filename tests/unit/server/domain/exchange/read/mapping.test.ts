import { describe, expect, test } from 'vitest';
import {
  mappingText,
  parseMapping,
  resolveMapping,
} from '../../../../../../server/domain/exchange/read/mapping.ts';
import { proposeMapping } from '../../../../../../server/domain/exchange/read/propose.ts';
import { unitCode } from '../../../../../../server/domain/exchange/units.ts';
import type { ImportMapping } from '../../../../../../shared/model/import-mapping.ts';

const SAMPLE = ['2026-03-01T06:00:00Z', '21.5', '80', '1'];
const propose = (
  header: readonly string[],
  rows: readonly (readonly string[])[] = [SAMPLE],
  zone: string | null = null,
) => proposeMapping({ header, rows, device: 'bench', zone });
const columnsOf = (mapping: ImportMapping | null) =>
  mapping?.columns.map(({ column, probe, unit }) => [column, probe, unit]);

describe('units', () => {
  test.each([
    ['°C', 'Cel'],
    ['C', 'Cel'],
    ['deg C', 'Cel'],
    ['°F', 'degF'],
    ['degF', 'degF'],
    ['K', 'K'],
    ['%RH', '%RH'],
    ['% RH', '%RH'],
    ['lux', 'lx'],
    ['W/m²', 'W/m2'],
    ['µmol m⁻² s⁻¹', 'umol/m2/s'],
    ['μmol/m²/s', 'umol/m2/s'],
    ['', ''],
    ['furlong', null],
  ])('%j is %j', (spelled, code) => {
    expect(unitCode({ spelled, probe: 'air/temperature' })).toBe(code);
  });

  test('a bare % is %RH for humidity, %EL for a battery, and a temperature has none', () => {
    const codes = ['air/humidity', 'battery/level', 'air/temperature'].map((probe) =>
      unitCode({ spelled: '%', probe }),
    );
    expect(codes).toEqual(['%RH', '%EL', null]);
  });
});

describe('a proposal', () => {
  test('takes 3 probes named as ours, with their units, and needs nothing more', () => {
    const { mapping, undecided, text } = propose([
      'time',
      'root/temperature [°C]',
      'air/humidity [%RH]',
      'co2 [ppm]',
    ]);
    expect(undecided).toEqual([]);
    expect(mapping?.time).toEqual({ columns: ['time'], format: { kind: 'rfc3339' } });
    expect(columnsOf(mapping)).toEqual([
      ['root/temperature [°C]', 'root/temperature', '°C'],
      ['air/humidity [%RH]', 'air/humidity', '%RH'],
    ]);
    expect(parseMapping(text, { zone: null, decimal: '.' })).toEqual(mapping);
  });

  test.each([
    ['Temperature (°C)', 'air/temperature'],
    ['Temp, °F', 'air/temperature'],
    ['temp_c', 'air/temperature'],
    ['Soil temperature °C', 'root/temperature'],
    ['Bodentemperatur [°C]', 'root/temperature'],
    ['Leaf temp K', 'leaf/temperature'],
    ['Outside temperature °C', 'outside/temperature'],
    ['RH %', 'air/humidity'],
    ['Rel. Humidity (%RH)', 'air/humidity'],
    ['Luftfeuchte %', 'air/humidity'],
    ['Lux', 'light/illuminance'],
    ['PPFD (µmol/m²/s)', 'light/ppfd'],
    ['Battery %', 'battery/level'],
  ])('takes %j for %s', (header, probe) => {
    const { mapping } = propose(['time', header]);
    expect(mapping?.columns[0]).toMatchObject({ column: header, probe });
  });

  test.each(['Temperature', 'Humidity', 'Light', 'Temperature (%)'])(
    'asks for the unit of %j instead of guessing it',
    (header) => {
      const { mapping, undecided, text } = propose(['time', header]);
      expect(mapping).toBeNull();
      expect(undecided).toEqual([expect.stringContaining(`the unit of "${header}"`)]);
      expect(text).toMatch(/ \?$/);
    },
  );

  test.each([
    'Dew point °C',
    'Taupunkttemperatur °C',
    'Température de rosée °C',
    'HumidityRatio',
    'CO2',
    'Occupancy',
    'VPD kPa',
  ])('leaves %j out and says so', (header) => {
    const { mapping, notes } = propose(['time', 'Temp °C', header]);
    expect(mapping?.columns).toHaveLength(1);
    expect(notes).toEqual([`left out: "${header}"`]);
  });

  test('asks for the zone of local times, and for the order of 3/4/2026, and takes the zone that is stated', () => {
    const header = ['Date', 'Temp °C'];
    expect(propose(header, [['2026-03-04 06:00', '21']]).undecided).toEqual([
      expect.stringContaining('--zone'),
    ]);
    expect(propose(header, [['3/4/2026 06:00', '21']], 'America/Halifax').undecided).toEqual([
      expect.stringContaining('local-dmy or local-mdy'),
    ]);
    const { mapping } = propose(header, [['2026-03-04 06:00', '21']], 'Asia/Kolkata');
    expect(mapping?.time.format).toEqual({ kind: 'local', zone: 'Asia/Kolkata', order: 'ymd' });
  });

  test('joins a column of dates and the one of times beside it, and finds a decimal comma', () => {
    const rows = [
      ['13.03.2026', '06:00', '21,5'],
      ['13.03.2026', '06:10', '22'],
    ];
    const { mapping } = propose(['Datum', 'Uhrzeit', 'Temp °C'], rows, 'Europe/Lisbon');
    expect(mapping?.time).toMatchObject({ columns: ['Datum', 'Uhrzeit'], format: { order: 'dmy' } });
    expect(mapping?.decimal).toBe(',');
  });

  test('numbers 2 columns of one kind, and names columns with the same header by their place', () => {
    const { mapping } = propose(['time', 'Temp °C', 'Temp °C']);
    expect(columnsOf(mapping)).toEqual([
      ['#2', 'air/temperature', '°C'],
      ['#3', 'air/temperature/2', '°C'],
    ]);
  });

  test('of a file of ours with 2 devices takes the columns of the one that was named', () => {
    const header = ['time', 'bench/air/temperature [°C]', 'dome/air/temperature [°C]', 'bench/co2 [ppm]'];
    expect(columnsOf(propose(header).mapping)).toEqual([
      ['bench/air/temperature [°C]', 'air/temperature', '°C'],
      ['bench/co2 [ppm]', 'co2', 'ppm'],
    ]);
  });

  test('without a time or a reading asks for both', () => {
    expect(propose(['a', 'b'], [['x', 'y']]).undecided).toEqual([
      'which column is the time',
      'which columns are readings',
    ]);
  });
});

describe('a mapping that was typed', () => {
  const typed = (text: string, zone: string | null = null) => parseMapping(text, { zone, decimal: '.' });
  const resolved = (text: string, header = ['when', 'a', 'b']) => {
    const mapping = typed(text, 'UTC');
    if ('fault' in mapping) throw new Error(mapping.fault);
    return resolveMapping(mapping, { header, device: 'bench' });
  };

  test('is read, and written again as it was', () => {
    const text = 'Date=time local-dmy; Time=time local-dmy; a=air/temperature °F; #3=co2';
    const mapping = typed(text, 'Australia/Lord_Howe');
    expect(mapping).toMatchObject({
      time: { columns: ['Date', 'Time'], format: { zone: 'Australia/Lord_Howe', order: 'dmy' } },
    });
    expect('fault' in mapping ? '' : mappingText(mapping)).toBe(text);
  });

  test.each([
    ['a', 'is not COLUMN=PROBE'],
    ['a=air/temperature °C', 'no column is mapped to the time'],
    ['when=time rfc3339', 'no column is mapped to a probe'],
    ['when=time sundial; a=co2', 'the time format "sundial"'],
    ['when=time local; a=co2', 'state their zone'],
    ['when=time rfc3339; a=air/temperature ?', 'still has a ?'],
  ])('%j is refused: %s', (text, fault) => {
    expect(typed(text)).toEqual({ fault: expect.stringContaining(fault) });
  });

  test('finds columns by header and by number, and a unit by any spelling', () => {
    expect(resolved('when=time rfc3339; #2=air/temperature degF; b=bench/air/humidity %')).toMatchObject({
      timeAt: [0],
      columns: [
        { at: 1, probe: 'air/temperature', unit: 'degF' },
        { at: 2, probe: 'air/humidity', unit: '%RH' },
      ],
    });
  });

  test.each([
    ['when=time rfc3339; c=co2', 'there is no column "c"'],
    ['when=time rfc3339; #4=co2', 'there is no column "#4"'],
    ['when=time rfc3339; a=air/temperature lx', 'air/temperature is read in Cel, K, degF'],
    ['when=time rfc3339; a=air/temperature', 'has no unit'],
    ['when=time rfc3339; a=co2 furlong', 'no unit known here'],
    ['when=time rfc3339; a=co2; b=co2', 'two columns are co2'],
    ['when=time rfc3339; when=co2', 'mapped twice'],
    ['when=time rfc3339; a=other/air/temperature °C', 'another device'],
    ['when=time rfc3339; a=-odd', 'is not 1 to 96'],
  ])('%j has a fault: %s', (text, fault) => {
    expect(resolved(text)).toEqual({ faults: expect.arrayContaining([expect.stringContaining(fault)]) });
  });

  test('a header that 2 columns share must be said by number', () => {
    expect(resolved('when=time rfc3339; a=co2', ['when', 'a', 'a'])).toEqual({
      faults: [expect.stringContaining('#2, #3')],
    });
  });

  test('a zone nobody knows is a fault', () => {
    const mapping = typed('when=time local; a=co2', 'Nowhere/Never');
    if ('fault' in mapping) throw new Error(mapping.fault);
    expect(resolveMapping(mapping, { header: ['when', 'a'], device: 'bench' })).toEqual({
      faults: [expect.stringContaining('Nowhere/Never')],
    });
  });
});
