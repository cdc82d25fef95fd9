import { afterAll, beforeAll, expect, test } from 'vitest';
import { type TracesAnswer, tracesAnswerSchema } from '../../../../../shared/wire/places/traces.ts';
import { traceIn } from '../../../../../web/bench/trace.ts';
import { START_MS } from '../../support/house.ts';
import { type Interface, startInterface } from '../../support/interface.ts';
import { problemWith } from '../../support/problem.ts';

let page: Interface;
beforeAll(async () => {
  page = await startInterface();
  for (const device of ['bench-1', 'bench-2']) {
    const records = [120, 110, 100].flatMap((minutes) => [
      { n: 'air/temperature', u: 'Cel', v: 24.5, t: START_MS / 1000 - minutes * 60 },
      { n: 'root/temperature', u: 'Cel', v: 18, t: START_MS / 1000 - minutes * 60 },
    ]);
    await page.house.report(records, device);
  }
});
afterAll(() => page.close());

const ask = async (placeIds: string) => (await page.get(`/api/v1/traces?placeIds=${placeIds}`)).body;

test('the last day of two places comes in one answer: traces, bands ahead, and what their exposures say', async () => {
  const answer: TracesAnswer = tracesAnswerSchema.parse(await ask('bench-1,bench-2,nobody'));
  expect(answer.places.map(({ placeId }) => placeId)).toEqual(['bench-1', 'bench-2']);
  const [first] = answer.places;
  const fromMs = Date.parse(answer.from);
  expect(Date.parse(answer.to) - fromMs).toBe(86_400_000);
  const root = first && traceIn(first.rootZone, { fromMs, times: answer.times });
  const seen = (root ?? []).filter(({ value }) => value !== null);
  // read for 20 min, 100 to 120 min ago, in points of 5 min
  expect(seen.map(({ value }) => value)).toEqual([18, 18, 18, 18]);
  const { body } = await page.get(
    `/api/v1/places/bench-1/exposures?from=${encodeURIComponent(answer.from)}&to=${encodeURIComponent(answer.to)}`,
  );
  expect(body).toMatchObject(first?.exposures ?? {});
  expect(first?.exposures.rootZone.degreeHoursBelow).toBeGreaterThan(0.5);
  expect(Date.parse(first?.bands.at(-1)?.to ?? '') - Date.parse(answer.to)).toBe(43_200_000);
});

test('no id, or more than 50, is 400 and says what is asked for', async () => {
  for (const ids of ['', ',', Array(51).fill('bench-1').join()]) {
    const { status, body } = await page.get(`/api/v1/traces?placeIds=${ids}`);
    expect([status, body]).toMatchObject([400, problemWith('bad-request')]);
    expect((body as { detail: string }).detail).toBe(
      '"placeIds" must be 1 to 50 ids of places, with commas between them.',
    );
  }
});

test('while a night is made others have their turn, and a place that is deleted meanwhile is left out', async () => {
  const parts = page.house.daemon.queries.nightInParts(null);
  let turns = 0;
  while (!parts.next().done) turns += 1;
  // of each place: before it, after its excursions, after its exposures, before its facts; and once before those of all
  expect(turns).toBe(9);
  const again = page.house.daemon.queries.nightInParts(null);
  again.next();
  page.house.daemon.world.places.delete('bench-1');
  let last = again.next();
  while (!last.done) last = again.next();
  expect(last.value.places.map(({ placeId }) => placeId)).toEqual(['bench-2']);
});

test('a night that is over has one tag whenever it is asked for; the one that goes on has another each time', async () => {
  const tagOf = async (path: string) => (await page.get(path)).headers['etag'];
  const over = '/api/v1/night?date=2026-05-31';
  const before = [await tagOf(over), await tagOf('/api/v1/night')];
  page.house.hand.pass(60_000);
  const after = [await tagOf(over), await tagOf('/api/v1/night')];
  expect(after[0]).toBe(before[0]);
  expect(after[1]).not.toBe(before[1]);
  const shown = await page.get(over, { 'if-none-match': String(before[0]) });
  expect(shown.status).toBe(304);
});
