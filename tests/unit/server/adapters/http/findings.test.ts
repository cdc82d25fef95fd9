import { afterAll, beforeAll, expect, test } from 'vitest';
import { findingsAnswerSchema } from '../../../../../shared/wire/probes/finding.ts';
import { START_MS } from '../../support/house.ts';
import { type Interface, startInterface } from '../../support/interface.ts';

let page: Interface;
beforeAll(async () => {
  page = await startInterface();
  const records = [21, 85, 21].map((v, i) => ({
    n: 'root/temperature',
    u: 'Cel',
    v,
    t: START_MS / 1000 + i * 60 - 300,
  }));
  await page.house.report(records);
  await page.house.report([{ n: 'air/temperature', u: 'Cel', v: 20 }], 'bench-2');
});
afterAll(() => page.close());

const ADDRESS = '/api/v1/probes/findings';

test('findings come of all places, of the one asked for, and of none at a place with sound probes', async () => {
  const of = async (query: string) =>
    findingsAnswerSchema
      .parse((await page.get(`${ADDRESS}${query}`)).body)
      .findings.map(({ finding }) => finding);
  expect(await of('')).toEqual(['power-up']);
  expect(await of('?place=bench-1')).toEqual(['power-up']);
  expect(await of('?place=bench-2')).toEqual([]);
});

test('over a span of an hour before the 85 °C there is none, over the hour that holds it there is one', async () => {
  const over = async (fromMs: number) => {
    const [from, to] = [new Date(fromMs), new Date(fromMs + 3_600_000)].map((time) => time.toISOString());
    return findingsAnswerSchema.parse((await page.get(`${ADDRESS}?from=${from}&to=${to}`)).body).findings
      .length;
  };
  expect(await over(START_MS - 7_200_000)).toBe(0);
  expect(await over(START_MS - 3_600_000)).toBe(1);
});

test('a place that is not there is answered 404, and a from without a to 400', async () => {
  expect((await page.get(`${ADDRESS}?place=nowhere`)).status).toBe(404);
  expect((await page.get(`${ADDRESS}?from=2026-06-01T00:00:00Z`)).status).toBe(400);
});
