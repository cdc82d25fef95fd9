import { expect, test } from 'vitest';
import { alarmMessageSchema, placeNowMessageSchema } from '../../../../../shared/wire/topics.ts';
import { checkPublished, takeFaults } from '../../../../support/sent-check.ts';
import { airRecord, type House, START_MS, startHouse } from '../../support/house.ts';

const lastOn = (house: House, topic: string) =>
  JSON.parse(house.published.findLast((message) => message.topic === topic)?.payload ?? 'null');

test('24.0372 °C and 71.234 %RH are retained as 24.04 and 71.2, and are over HTTP and on the page as they are', async () => {
  const house = startHouse();
  await house.report([
    { n: 'air/temperature', u: 'Cel', v: 24.0372 },
    { n: 'air/humidity', u: '%RH', v: 71.234 },
    { n: 'light/ppfd', u: 'umol/m2/s', v: 180.27 },
  ]);
  house.hand.pass(10_000);
  const { quantities } = placeNowMessageSchema.parse(lastOn(house, 'strikewell/1/places/bench-1/now'));
  const asItIs = house.daemon.queries.now('bench-1').quantities;
  const onPage = house.sent.findLast(({ kind }) => kind === 'now')?.what;
  expect(quantities).toMatchObject({
    airTemperatureC: { value: 24.04, unit: '°C', at: new Date(START_MS).toISOString(), state: 'within' },
    relativeHumidityPct: { value: 71.2 },
    ppfdUmolM2S: { value: 180.3 },
  });
  expect(asItIs).toMatchObject({
    airTemperatureC: { value: 24.0372 },
    relativeHumidityPct: { value: 71.234 },
    ppfdUmolM2S: { value: 180.27 },
  });
  expect(onPage).toMatchObject({ quantities: asItIs });
  // a derived number of many digits has 2 behind the point where it is retained
  expect(String(asItIs.airVpdKpa?.value).length).toBeGreaterThan(8);
  expect(String(quantities.airVpdKpa?.value)).toMatch(/^0\.\d\d?$/);
});

test('an alarm of 30.12345 °C is retained with 30.12, and is over HTTP as it is', async () => {
  const house = startHouse();
  await house.report([airRecord(30.12345, { ageS: 61 }), airRecord(30.12345)]);
  const retained = alarmMessageSchema.parse(lastOn(house, 'strikewell/1/alarms/bench-1.air-over-ceiling'));
  const [asItIs] = house.daemon.queries.alarms();
  expect(retained).toMatchObject({
    state: 'unacknowledged',
    facts: { kind: 'air-over-ceiling', valueC: 30.12, ceilingC: 26.7, peakC: 30.12 },
    words: { headline: expect.stringContaining('30.1') },
  });
  expect(asItIs?.facts).toMatchObject({ valueC: 30.12345, peakC: 30.12345 });
});

test('a message with 1 field more than its schema, or 1 less, fails the test that is sent it', async () => {
  const house = startHouse();
  await house.report([airRecord(24)]);
  house.hand.pass(10_000);
  const topic = 'strikewell/1/places/bench-1/now';
  const sent = lastOn(house, topic);
  checkPublished({ topic, payload: JSON.stringify({ ...sent, colour: 'green' }) });
  checkPublished({ topic, payload: JSON.stringify({ ...sent, placeId: undefined }) });
  checkPublished({ topic, payload: JSON.stringify(sent) });
  checkPublished({ topic, payload: '' });
  expect(takeFaults()).toEqual([expect.stringContaining('colour'), expect.stringContaining('placeId')]);
});
