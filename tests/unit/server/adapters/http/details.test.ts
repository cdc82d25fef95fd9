import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { MistAnswer, VentsAnswer } from '../../../../../shared/wire/http.ts';
import { type SentRecord, START_MS, TARGET_SHEET_FILE } from '../../support/house.ts';
import { type Interface, startInterface } from '../../support/interface.ts';

const PLACE = '/api/v1/places/bench-1';
const SPAN = '?from=2026-06-01T10:00:00Z&to=2026-06-01T12:00:00Z';
const MINUTE_S = 60;

/** Values by the minute from 10:00 on, one record each. */
function records(n: string, u: string, valueAt: (minute: number) => number, everyMin = 5): SentRecord[] {
  return Array.from({ length: 120 / everyMin + 1 }, (_, k) => {
    return { n, u, v: valueAt(k * everyMin), t: START_MS / 1_000 + k * everyMin * MINUTE_S };
  });
}

/** Mist for 8 s at 10:10, 10:20 … 11:50; nothing at 11:10, after the 5 intervals a pattern needs. */
const mist = records('mist/valve', '/', () => 0, 10).flatMap((shut, k): SentRecord[] =>
  k === 0 || k === 7 || k === 12
    ? [shut]
    : [
        { ...shut, v: 1 },
        { ...shut, t: (shut.t ?? 0) + 8 },
      ],
);

let page: Interface;
/** The interface of a house whose bench-1 reported from 10:00 to 12:00, which it is now; bench-2 has one reading. */
beforeAll(async () => {
  page = await startInterface();
  const { house } = page;
  house.hand.pass(2 * 3_600_000);
  await house.report([
    ...records('root/temperature', 'Cel', (minute) => 18 + minute / 10),
    ...records('air/temperature', 'Cel', () => 24),
    ...records('air/humidity', '%RH', (minute) => (minute <= 60 ? 99 : 90)),
    ...records('light/ppfd', 'umol/m2/s', (minute) => minute),
  ]);
  await house.report(mist);
  await house.report([{ n: 'air/temperature', u: 'Cel', v: 24 }], 'bench-2');
});
afterAll(() => page.close());

describe('mist', () => {
  test('of 2 h with 10 pulses 10 min apart and one left out: the counts, the 20 min dry gap, and a film', async () => {
    const { status, body } = await page.get(`${PLACE}/mist${SPAN}`);
    expect(status).toBe(200);
    expect(body).toMatchObject({
      placeId: 'bench-1',
      from: '2026-06-01T10:00:00.000Z',
      to: '2026-06-01T12:00:00.000Z',
      how: 'valve',
      pulses: 10,
      patternMin: 10,
      patternFrom: 'from the record',
      missed: 1,
      coveredHours: 2,
      reliable: true,
      reason: null,
      longestDryGap: { from: '2026-06-01T11:00:08.000Z', to: '2026-06-01T11:20:00.000Z' },
      film: { assumptions: [expect.stringMatching(/5 cm wide.*100 µm/), expect.stringMatching(/0\.1 m\/s/)] },
    });
    // lit from 10:02 on (2 µmol m⁻² s⁻¹): 10 pulses in 118 min
    expect(body).toHaveProperty('pulsesPerHourInLight', expect.closeTo(10 / (118 / 60), 9));
    expect(body).toHaveProperty('film.atAirTemperatureMin', expect.any(Number));
    // by hand: 120 µmol of daylight are 58.3 W/m² of sun, half of which a leaf takes up
    expect(body).toHaveProperty('film.inLight.netRadiationWM2', expect.closeTo(29.13, 2));
    const { film } = body as MistAnswer;
    expect(film?.inLight?.dryingMin).toBeGreaterThan(60);
    expect(film?.inLight?.dryingMin).toBeLessThan(film?.cooledMin ?? 0);
  });

  test('of a place without a valve, in an hour of which nothing is known, has no pulses and no rates', async () => {
    const { body } = await page.get(
      '/api/v1/places/bench-2/mist?from=2026-06-01T00:00:00Z&to=2026-06-01T01:00:00Z',
    );
    expect(body).toMatchObject({
      how: null,
      pulses: 0,
      pulsesPerHourInLight: null,
      coveredHours: 0,
      film: null,
    });
  });

  test('a stated interval of 20 min is the pattern, and none is missed', async () => {
    await page.ask('PATCH', PLACE, { body: { settings: { mistEveryMin: 20 } } });
    const { body } = await page.get(`${PLACE}/mist${SPAN}`);
    expect(body).toMatchObject({ patternMin: 20, patternFrom: 'stated', missed: 0 });
    await page.ask('PATCH', PLACE, { body: { settings: { mistEveryMin: null } } });
  });
});

describe('vents', () => {
  const logged = async () => {
    const { body } = await page.get(`${PLACE}/vents${SPAN}`);
    return (body as VentsAnswer).vents.filter(({ how }) => how === 'logged');
  };

  test('logged from 10:30 to 10:40 come back with id and note, and 20 min of saturated air since', async () => {
    const vent = { from: '2026-06-01T10:30:00Z', to: '2026-06-01T12:40:00+02:00', note: ' wiped the glass ' };
    const { status, body } = await page.ask('POST', `${PLACE}/vents`, { body: vent });
    expect([status, body]).toEqual([201, { id: expect.any(Number) }]);
    expect(await logged()).toMatchObject([
      {
        ...(body as { id: number }),
        from: '2026-06-01T10:30:00.000Z',
        to: '2026-06-01T10:40:00.000Z',
        note: 'wiped the glass',
        lowestPct: 99,
      },
    ]);
    const answer = (await page.get(`${PLACE}/vents?from=2026-06-01T10:00:00Z&to=2026-06-01T11:00:00Z`)).body;
    // 10:40 to 11:00; at 99 %RH against 97 all through
    expect(answer).toHaveProperty('hoursSinceVent', expect.closeTo(1 / 3, 9));
    expect(answer).toHaveProperty('hoursSaturatedSinceVent', expect.closeTo(1 / 3, 9));
  });

  test('are not of another place, nor of an hour before', async () => {
    const other = await page.get(`/api/v1/places/bench-2/vents${SPAN}`);
    expect(other.body).toMatchObject({ vents: [], hoursSinceVent: null, hoursSaturatedSinceVent: 0 });
    const before = await page.get(`${PLACE}/vents?from=2026-06-01T09:00:00Z&to=2026-06-01T10:00:00Z`);
    expect(before.body).toMatchObject({ vents: [] });
  });

  test('still open, of which only the start is stated, are kept with no end', async () => {
    const posted = await page.ask('POST', `${PLACE}/vents`, { body: { from: '2026-06-01T11:50:00Z' } });
    expect(posted.status).toBe(201);
    const { id } = posted.body as { id: number };
    expect(await logged()).toContainEqual(expect.objectContaining({ id, to: null, note: null }));
    expect((await page.ask('DELETE', `${PLACE}/vents/${id}`)).status).toBe(204);
  });

  test('are deleted once with 204, and 404 the 2nd time and under another place', async () => {
    const [vent] = await logged();
    const elsewhere = await page.ask('DELETE', `/api/v1/places/bench-2/vents/${vent?.id}`);
    expect(elsewhere).toMatchObject({ status: 404, body: { error: { code: 'not-found' } } });
    expect(await page.ask('DELETE', `${PLACE}/vents/${vent?.id}`)).toMatchObject({ status: 204, body: null });
    expect((await page.ask('DELETE', `${PLACE}/vents/${vent?.id}`)).status).toBe(404);
    expect(await logged()).toEqual([]);
  });

  test.each([
    ['to', { from: '2026-06-01T10:30:00Z', to: '2026-06-01T10:29:59Z' }],
    ['to', { from: '2026-06-01T10:30:00Z', to: '2026-06-01T10:30:00Z' }],
    ['from', { from: 'half past ten' }],
    ['from', { from: '2026-06-01T10:30:00' }],
    ['note', { from: '2026-06-01T10:30:00Z', note: 'a'.repeat(201) }],
    ['body', { from: '2026-06-01T10:30:00Z', who: 'me' }],
    ['from', {}],
  ])('with a wrong %s are refused with 400 and not kept: %j', async (field, body) => {
    const refused = await page.ask('POST', `${PLACE}/vents`, { body });
    expect([refused.status, JSON.stringify(refused.body)]).toEqual([
      400,
      expect.stringContaining(`"${field}"`),
    ]);
    expect(await logged()).toEqual([]);
  });
});

describe('thermal time', () => {
  test('of a root zone from 18 to 30 °C in 2 h, base 21 and upper 28 °C, is 6.417 K·h', async () => {
    // by hand: 6 K/h; from 0.5 h on ½ × 7/6 h × 7 K, then 1/3 h × 7 K
    const { status, body } = await page.get(`${PLACE}/thermal-time${SPAN}&baseC=21&upperC=28`);
    expect(status).toBe(200);
    expect(body).toMatchObject({
      placeId: 'bench-1',
      baseC: 21,
      upperC: 28,
      coveredHours: expect.closeTo(2, 9),
    });
    expect(body).toHaveProperty('degreeHours', expect.closeTo(49 / 12 + 7 / 3, 9));
  });

  test.each([
    ['upperC', 'baseC=21&upperC=21'],
    ['upperC', 'baseC=21&upperC=20'],
    ['baseC', 'baseC=&upperC=28'],
    ['baseC', 'baseC=warm&upperC=28'],
    ['baseC', 'baseC=-31&upperC=28'],
    ['baseC', 'baseC=21&baseC=22&upperC=28'],
    ['upperC', 'baseC=21&upperC=Infinity'],
    ['upperC', 'baseC=21'],
  ])('with a wrong %s is refused with 400: %s', async (field, query) => {
    const { status, body } = await page.get(`${PLACE}/thermal-time${SPAN}&${query}`);
    expect(status).toBe(400);
    expect(body).toMatchObject({ error: { code: 'bad-request', details: { field } } });
  });

  test('of a root zone from 18 to 30 °C in 2 h, base 21, optimum 28 and stop 32 °C, is 5.833 K·h', async () => {
    // by hand: 6 K/h; ½ × 7/6 h × 7 K up to the optimum, then 1/3 h from 7 K down to 3.5 K
    const { status, body } = await page.get(`${PLACE}/thermal-time${SPAN}&baseC=21&optimumC=28&stopC=32`);
    expect(status).toBe(200);
    expect(body).toMatchObject({ baseC: 21, optimumC: 28, stopC: 32, coveredHours: expect.closeTo(2, 9) });
    expect(body).not.toHaveProperty('upperC');
    expect(body).toHaveProperty('degreeHours', expect.closeTo(49 / 12 + 5.25 / 3, 9));
  });

  test.each([
    ['upperC', 'baseC=21&upperC=28&optimumC=28&stopC=32'],
    ['upperC', 'baseC=21&upperC=28&stopC=32'],
    ['stopC', 'baseC=21&optimumC=28'],
    ['optimumC', 'baseC=21&stopC=32'],
    ['optimumC', 'baseC=21&optimumC=21&stopC=32'],
    ['stopC', 'baseC=21&optimumC=28&stopC=28'],
  ])('with optimum and stop, a wrong %s is refused with 400: %s', async (field, query) => {
    const { status, body } = await page.get(`${PLACE}/thermal-time${SPAN}&${query}`);
    expect(status).toBe(400);
    expect(body).toMatchObject({ error: { code: 'bad-request', details: { field } } });
  });

  test('of a span that ends before it begins is refused with 400', async () => {
    const turned = '?from=2026-06-01T12:00:00Z&to=2026-06-01T10:00:00Z';
    expect((await page.get(`${PLACE}/thermal-time${turned}&baseC=21&upperC=28`)).status).toBe(400);
  });
});

describe('explain', () => {
  test('of a present value names readings with time and probe, and an error range about the value', async () => {
    const { body } = await page.get(`${PLACE}/explain?of=now.relativeHumidityPct`);
    expect(body).toMatchObject({
      of: 'now.relativeHumidityPct',
      value: 90,
      unit: '%RH',
      source: { key: 'CONTRACT' },
      inputs: [{ value: 90, at: '2026-06-01T12:00:00.000Z', probe: 'bench-1/air/humidity' }],
      errorRange: { low: 86, high: 94 },
    });
  });

  test('of an exposure says how much of the 2 h was covered', async () => {
    const { body } = await page.get(`${PLACE}/explain${SPAN}&of=exposures.rootMinusAir.hoursAirWarmer`);
    // 18 + 6 h⁻¹ t passes 24 °C after 1 h
    expect(body).toMatchObject({ value: expect.closeTo(1, 9), coverage: { coveredHours: 2, ofHours: 2 } });
  });

  test.each([
    [200, `${SPAN}&of=mist.film.cooledMin`],
    [200, `${SPAN}&of=mist.film.inLight.dryingMin`],
    [200, `${SPAN}&of=vents.hoursSaturatedSinceVent`],
    [200, `${SPAN}&of=thermalTime.degreeHours&baseC=21&upperC=28`],
    [200, `${SPAN}&of=thermalTime.degreeHours&baseC=21&optimumC=28&stopC=32`],
    [400, `${SPAN}&of=thermalTime.degreeHours&baseC=21`],
    [400, '?of=mist.pulses'],
    [404, `${SPAN}&of=mist.luck`],
    [404, `${SPAN}&of=exposures.air.luck`],
    [404, `${SPAN}&of=exposures.__proto__.coveredHours`],
    [404, `${SPAN}&of=exposures.air.constructor`],
    [400, '?of=exposures.air.minC'],
    [400, '?of=now.__proto__'],
    [400, '?of=now.airTemperatureC.value'],
    [400, `?of=now.airVpdKpa&from=2026-06-01T10:00:00Z`],
  ])('answers %i to %s', async (status, query) => {
    expect((await page.get(`${PLACE}/explain${query}`)).status).toBe(status);
  });
});

describe('targets', () => {
  test('PUT without dayBy have none when they come back', async () => {
    await page.ask('PUT', `${PLACE}/targets`, { body: TARGET_SHEET_FILE.targets });
    expect((await page.get(`${PLACE}/targets`)).body).toEqual(TARGET_SHEET_FILE.targets);
  });
});
