import { describe, expect, test } from 'vitest';
import { targetSpans } from '../../../../../server/domain/calendar/spans.ts';
import {
  type AlarmLine,
  alarmNdjson,
  CSV_ALARMS,
} from '../../../../../server/domain/exchange/write/alarms-out.ts';
import { CSV_EXPOSURES, stretchesOf } from '../../../../../server/domain/exchange/write/exposures-out.ts';
import { CSV_READINGS, NDJSON_READINGS } from '../../../../../server/domain/exchange/write/readings-out.ts';
import { DEFAULT_PLACE_SETTINGS } from '../../../../../shared/model/place.ts';
import { exposuresOf } from '../../../../support/exposures-of.ts';
import { TARGETS } from '../../support/targets.ts';
import { probeNamed } from './support.ts';

const T_MS = Date.UTC(2026, 5, 1, 10);
const HOUR_MS = 3_600_000;
const iso = (atMs: number) => new Date(atMs).toISOString();

describe('readings', () => {
  const tracks = [
    { probe: probeNamed('air/temperature'), timesMs: [T_MS, T_MS + 10_001], values: [21.5, -0.5] },
    { probe: probeNamed('leaf/wetness'), timesMs: [T_MS + 10_001], values: [1] },
    { probe: probeNamed('light/ppfd'), timesMs: [], values: [] },
  ];

  test('as CSV: the unit in the header, times in UTC with ms, CRLF, a missing value empty', () => {
    expect(CSV_READINGS.head(tracks.map(({ probe }) => probe)) + CSV_READINGS.body(tracks)).toBe(
      'time,bench/air/temperature [°C],bench/leaf/wetness [/],bench/light/ppfd [µmol m⁻² s⁻¹]\r\n' +
        '2026-06-01T10:00:00.000Z,21.5,,\r\n' +
        '2026-06-01T10:00:10.001Z,-0.5,1,\r\n',
    );
  });

  test('as NDJSON: 3 readings are 3 lines', () => {
    const lines = NDJSON_READINGS.body(tracks).split('\n');
    expect(lines).toHaveLength(4);
    expect(JSON.parse(lines[1] ?? '')).toEqual({
      time: '2026-06-01T10:00:10.001Z',
      device: 'bench',
      probe: 'air/temperature',
      quantity: 'air/temperature',
      unit: '°C',
      value: -0.5,
    });
  });

  test('a device whose name begins with a hyphen starts with an apostrophe in the header', () => {
    expect(CSV_READINGS.head([probeNamed('air/humidity', { device: '-1' })])).toBe(
      "time,'-1/air/humidity [%RH]\r\n",
    );
  });
});

describe('exposures', () => {
  // Halifax: −04:00 until the second Sunday of March, 02:00, then −03:00 (IANA, recalled)
  test('a span of 2 days is cut at local midnight, and the day of the clock change has 23 hours', () => {
    const span = {
      fromMs: Date.UTC(2026, 2, 7, 12),
      toMs: Date.UTC(2026, 2, 9, 12),
      zone: 'America/Halifax',
    };
    const days = stretchesOf({ ...span, by: 'day' });
    expect(days.map(({ fromMs }) => iso(fromMs))).toEqual([
      '2026-03-07T12:00:00.000Z',
      '2026-03-08T04:00:00.000Z',
      '2026-03-09T03:00:00.000Z',
    ]);
    const hours = stretchesOf({ ...span, by: 'hour' });
    const inDay = hours.filter(
      ({ fromMs }) => fromMs >= (days[1]?.fromMs ?? 0) && fromMs < (days[1]?.toMs ?? 0),
    );
    expect([hours.length, inDay.length]).toEqual([48, 23]);
    expect(hours.every(({ fromMs }, i) => i === 0 || fromMs === hours[i - 1]?.toMs)).toBe(true);
  });

  test('hours of Kolkata, 5 h 30 min ahead of UTC, begin at full local hours', () => {
    const span = { fromMs: T_MS, toMs: T_MS + 2 * HOUR_MS, zone: 'Asia/Kolkata', by: 'hour' as const };
    expect(stretchesOf(span).map(({ fromMs }) => iso(fromMs).slice(11, 16))).toEqual([
      '10:00',
      '10:30',
      '11:30',
    ]);
  });

  test('a row has as many cells as the header, each header its unit, and 1 h at 24 °C is 1 h covered', () => {
    const hour = { fromMs: T_MS, toMs: T_MS + HOUR_MS };
    const found = exposuresOf({
      placeId: 'bench',
      ...hour,
      settings: DEFAULT_PLACE_SETTINGS,
      spans: targetSpans({ history: [{ fromMs: 0, targets: TARGETS }], ...hour, zone: 'UTC' }),
      timeZone: 'UTC',
      records: {
        'air/temperature': [
          {
            timesMs: Float64Array.from([0, 1, 2, 3, 4], (k) => T_MS + k * (HOUR_MS / 4)),
            values: Float64Array.from([24, 24, 24, 24, 24]),
          },
        ],
      },
    });
    const header = CSV_EXPOSURES.header(found).trim().split(',');
    const row = CSV_EXPOSURES.row(found).trim().split(',');
    expect(row).toHaveLength(header.length);
    const cell = (name: string) => row[header.indexOf(name)];
    expect(cell('placeId')).toBe('bench');
    expect(cell('from')).toBe('2026-06-01T10:00:00.000Z');
    expect(cell('air.coveredHours [h]')).toBe('1');
    expect(cell('air.meanC [°C]')).toBe('24');
    expect(cell('rootZone.meanC [°C]')).toBe('');
    expect(header).toEqual(
      expect.arrayContaining([
        'rootZone.degreeHoursBelow [°C·h]',
        'vpd.kpaHoursAbove [kPa·h]',
        'vpd.maxKpa [kPa]',
        'light.dliMolM2 [mol/m²]',
        'rootMinusAir.meanK [K]',
      ]),
    );
    const bare = header.filter((name) => !name.endsWith(']'));
    expect(bare).toEqual(['placeId', 'from', 'to', 'condensation.surface']);
  });
});

describe('alarms', () => {
  const line: AlarmLine = {
    id: 7,
    alarmId: 'bench.air-over-ceiling',
    transition: 'shelved',
    atMs: T_MS,
    note: '=1+1',
    placeId: 'bench',
    placeName: '@home, "east"',
    rule: 'air-over-ceiling',
    priority: 'high',
  };

  test('a note that begins like a formula and a name with quotes are written so that nothing runs', () => {
    expect(CSV_ALARMS.header()).toBe('time,placeId,placeName,alarmId,rule,priority,transition,note\r\n');
    expect(CSV_ALARMS.row(line)).toBe(
      '2026-06-01T10:00:00.000Z,bench,"\'@home, ""east""",bench.air-over-ceiling,air-over-ceiling,high,shelved,\'=1+1\r\n',
    );
  });

  test('as NDJSON both are as they are', () => {
    expect(JSON.parse(alarmNdjson(line))).toMatchObject({ placeName: '@home, "east"', note: '=1+1' });
  });
});
