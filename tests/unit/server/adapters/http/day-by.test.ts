import Database from 'better-sqlite3';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { openStore } from '../../../../../server/adapters/sqlite/store.ts';
import { DEFAULT_PLACE_SETTINGS } from '../../../../../shared/model/place.ts';
import type { BandSpan } from '../../../../../shared/wire/http.ts';
import {
  airRecord,
  databaseFile,
  type SentRecord,
  START_MS,
  TARGET_SHEET_FILE,
} from '../../support/house.ts';
import { type Interface, startInterface } from '../../support/interface.ts';

const PLACE = '/api/v1/places/bench-1';
const VIENNA = { latitudeDeg: 48.2, longitudeDeg: 16.4 };

/** Bands that jump, so that they are cut where day and night change alone. */
const TARGETS = { ...TARGET_SHEET_FILE.targets, rampMin: 0 };

let page: Interface;
/** The interface of a house at 14:00 UTC; bench-1 read 0 to 100 µmol m⁻² s⁻¹ from 10:00 to 14:00, up and down. */
beforeAll(async () => {
  page = await startInterface();
  page.house.hand.pass(4 * 3_600_000);
  const light = Array.from({ length: 49 }, (_, k): SentRecord => {
    const minute = 5 * k;
    const v = 100 - Math.abs(minute - 120) / 1.2;
    return { n: 'light/ppfd', u: 'umol/m2/s', v, t: START_MS / 1_000 + minute * 60 };
  });
  await page.house.report([...light, airRecord(24)]);
});
afterAll(() => page.close());

const put = (dayBy: unknown) =>
  page.ask('PUT', `${PLACE}/targets`, {
    body: { ...TARGETS, dayBy, from: '2026-01-01T00:00:00Z' },
  });
const bands = async (from: string, to: string) => {
  const { body } = await page.get(`${PLACE}/bands?from=2026-06-01T${from}Z&to=2026-06-01T${to}Z`);
  return (body as { bands: BandSpan[] }).bands.map((band) => [band.from.slice(11, 19), band.night]);
};

describe('a day by the light probe, from 50 µmol m⁻² s⁻¹', () => {
  test('is put, comes back, and cuts the bands at 11:00 and 13:00 UTC', async () => {
    const dayBy = { kind: 'light', ppfdUmolM2S: 50 };
    expect(await put(dayBy)).toMatchObject({ status: 200, body: { dayBy } });
    expect((await page.get(`${PLACE}/targets`)).body).toEqual({ ...TARGETS, dayBy });
    // 0 to 100 in 2 h and back: 50 after 1 h and after 3 h
    expect(await bands('10:00:00', '14:00:00')).toEqual([
      ['10:00:00', true],
      ['11:00:00', false],
      ['13:00:00', true],
    ]);
  });

  test('has the same bands asked in 2 halves', async () => {
    expect(await bands('10:00:00', '12:00:00')).toEqual([
      ['10:00:00', true],
      ['11:00:00', false],
    ]);
    expect(await bands('12:00:00', '14:00:00')).toEqual([
      ['12:00:00', false],
      ['13:00:00', true],
    ]);
  });

  test('goes by the clock’s 20:00 before and after the record', async () => {
    expect(await bands('14:00:00', '23:00:00')).toEqual([
      ['14:00:00', false],
      ['20:00:00', true],
    ]);
  });
});

describe('a day by the sun', () => {
  test('of a place without coordinates is the clock’s, 6:00 to 20:00', async () => {
    expect(await put({ kind: 'sun' })).toMatchObject({ status: 200, body: { dayBy: { kind: 'sun' } } });
    expect(await bands('00:00:00', '23:00:00')).toEqual([
      ['00:00:00', true],
      ['06:00:00', false],
      ['20:00:00', true],
    ]);
  });

  test('of a place in Vienna is 2:57 to 18:48 UTC on 1 June, to 3 min', async () => {
    const patch = await page.ask('PATCH', PLACE, { body: { settings: { coordinates: VIENNA } } });
    expect(patch).toMatchObject({ status: 200, body: { settings: { coordinates: VIENNA } } });
    const [night, day, evening] = await bands('00:00:00', '23:00:00');
    expect([night?.[1], day?.[1], evening?.[1]]).toEqual([true, false, true]);
    // from memory, 4:57 and 20:48 CEST; the almanac test of calendar/sun.test.ts is the close one
    const apartMin = (at: unknown, clock: string) =>
      Math.abs(Date.parse(`2026-06-01T${at}Z`) - Date.parse(`2026-06-01T${clock}Z`)) / 60_000;
    expect(apartMin(day?.[0], '02:57:00')).toBeLessThan(3);
    expect(apartMin(evening?.[0], '18:48:00')).toBeLessThan(3);
  });
});

test.each([
  [{ kind: 'moon' }],
  [{ kind: 'light' }],
  [{ kind: 'light', ppfdUmolM2S: 0 }],
  [{ kind: 'light', ppfdUmolM2S: 501 }],
  [{ kind: 'sun', latitudeDeg: 48 }],
  ['sun'],
  [null],
])('a day by %j is refused with 400, and the 3 bands stay', async (dayBy) => {
  const before = await bands('00:00:00', '23:00:00');
  expect((await put(dayBy)).status).toBe(400);
  expect(await bands('00:00:00', '23:00:00')).toEqual(before);
});

describe('settings of the place', () => {
  const patch = (settings: unknown) => page.ask('PATCH', PLACE, { body: { settings } });

  test('coordinates, sensor errors of 0.5 K and 3 %RH, and a leaf of 8 cm are patched one by one, and kept', async () => {
    const sensorError = { temperatureK: 0.5, humidityPct: 3 };
    const leaf = { widthM: 0.08, airSpeedMS: 0.2, filmUm: 50 };
    expect((await patch({ sensorError })).status).toBe(200);
    expect((await patch({ leaf })).status).toBe(200);
    const { body } = await page.get(PLACE);
    expect(body).toMatchObject({ settings: { sensorError, leaf, coordinates: VIENNA, mistEveryMin: null } });
    expect(page.house.store.places.all()[0]?.settings).toMatchObject({ sensorError, leaf });
    expect((await patch({ coordinates: null })).body).toMatchObject({
      settings: { coordinates: null, leaf },
    });
  });

  test.each([
    ['settings.coordinates.latitudeDeg', { coordinates: { latitudeDeg: 90.1, longitudeDeg: 0 } }],
    ['settings.coordinates.longitudeDeg', { coordinates: { latitudeDeg: 0 } }],
    ['settings.sensorError.humidityPct', { sensorError: { temperatureK: 0.5 } }],
    ['settings.sensorError.temperatureK', { sensorError: { temperatureK: -0.1, humidityPct: null } }],
    ['settings.leaf.widthM', { leaf: { widthM: 0, airSpeedMS: 0.1, filmUm: 100 } }],
    ['settings.mistEveryMin', { mistEveryMin: 0.4 }],
    ['settings', { altitude: 100 }],
  ])('with a wrong %s are refused with 400 and change nothing', async (field, settings) => {
    const before = (await page.get(PLACE)).body;
    const { status, body } = await patch(settings);
    expect([status, JSON.stringify(body)]).toEqual([400, expect.stringContaining(`"${field}"`)]);
    expect((await page.get(PLACE)).body).toEqual(before);
  });
});

test('a place stored with the 4 settings of before, and targets without dayBy, reads with the others as usual', async () => {
  const file = databaseFile();
  openStore({ file, nowMs: START_MS }).close();
  const { maxGapMs, lightSource } = DEFAULT_PLACE_SETTINGS;
  const old = { maxGapMs, altitudeM: 450, lightSource, leafOffsetK: 1 };
  const db = new Database(file);
  db.prepare('INSERT INTO place (id, name, kind, invented, settings) VALUES (?, ?, ?, 0, ?)').run(
    'bench-9',
    'Bench nine',
    'bench',
    JSON.stringify(old),
  );
  db.prepare('INSERT INTO targets (place_id, from_ms, entered_ms, body) VALUES (?, 0, 0, ?)').run(
    'bench-9',
    JSON.stringify(TARGET_SHEET_FILE.targets),
  );
  db.close();
  const reopened = await startInterface({ store: openStore({ file, nowMs: START_MS }) });
  const { status, body } = await reopened.get('/api/v1/places/bench-9');
  expect(status).toBe(200);
  expect(body).toMatchObject({
    settings: { ...DEFAULT_PLACE_SETTINGS, ...old },
    targets: TARGET_SHEET_FILE.targets,
  });
  await reopened.close();
});
