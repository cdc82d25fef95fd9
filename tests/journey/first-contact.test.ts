import { dirname } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, onTestFinished, test } from 'vitest';
import { z } from 'zod';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { launchBrowser } from '../support/browser.ts';
import { runChild } from '../support/child.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { machinePath, plainEnvironment, toolPath } from '../support/environment.ts';
import { startMosquitto } from '../support/mosquitto.ts';
import { mosquittoPub } from '../support/mqttPublisher.ts';
import { openPage, untilSays } from '../support/page.ts';
import { openRecord } from '../support/record.ts';
import { until } from '../support/wait.ts';

const placesSchema = z.object({
  places: z.array(z.object({ id: z.string(), name: z.string(), invented: z.boolean() })),
});
const probesSchema = z.object({
  probes: z.array(
    z.object({ name: z.string(), quantity: z.string().nullable(), placeId: z.string().nullable() }),
  ),
});
const houseSchema = z.object({
  broker: z.object({ connected: z.boolean() }),
  demo: z.object({ running: z.boolean() }),
});
const alarmsSchema = z.object({ alarms: z.array(z.unknown()) });

/** The target sheet "general herbaceous, bottom heat", as the outside interface states it. */
const GENERAL_HERBACEOUS = {
  dayStart: '06:00',
  nightStart: '20:00',
  rampMin: 90,
  rootZone: { day: { lowC: 21.1, highC: 26.7 }, night: { lowC: 21.1, highC: 26.7 } },
  air: { day: { lowC: 21.1, highC: 26.7 }, night: { lowC: 13, highC: 18 }, ceilingC: 26.7 },
  vpd: { lowKpa: 0.1, highKpa: 0.5 },
  saturation: { relativeHumidityPct: 97 },
};

let browser: Browser;
beforeAll(async () => {
  browser = await launchBrowser();
});
afterAll(() => browser.close());

async function daemonFor(settings: Readonly<Record<string, string>> = {}): Promise<Daemon> {
  const daemon = await startDaemon({ settings });
  onTestFinished(() => daemon.close());
  return daemon;
}

async function pageOf(daemon: Daemon) {
  const opened = await openPage(browser, { url: daemon.httpUrl });
  onTestFinished(() => opened.close());
  return opened;
}

const placesOf = async (daemon: Daemon) => (await daemon.read('/api/v1/places', placesSchema)).places;

/** Runs a line as a person would paste it into a shell, where the program is found by its name. */
async function paste(line: string): Promise<void> {
  const PATH = `${dirname(toolPath('mosquittoPub'))}:${machinePath()}`;
  await runChild({ command: 'sh', args: ['-c', line], env: plainEnvironment({ PATH }) });
}

test('the page of an empty house gives 1 line to paste, which makes the place sill with its 3 values', async () => {
  const daemon = await daemonFor();
  const { page, complaints } = await pageOf(daemon);
  await page.context().grantPermissions(['clipboard-read', 'clipboard-write']);
  await page.getByTestId('first-run').waitFor();
  expect(await page.getByTestId('first-run').textContent()).toContain('not a safety device');
  expect(await page.getByTestId('place-card').count()).toBe(0);

  const line = (await page.getByTestId('first-run').locator('code').first().textContent()) ?? '';
  expect(line).toContain(`-p ${daemon.mqttPort} `);
  await page.getByRole('button', { name: 'Copy' }).click();
  await untilSays(page, { selector: '[data-testid=first-run] span', text: /^Copied/ });
  expect(await page.evaluate(() => navigator.clipboard.readText())).toBe(line);

  await paste(line);
  await page.locator('[data-place=sill]').waitFor({ timeout: 2_000 });
  // The figures stand in the line itself.
  const values = [...line.matchAll(/"v":([\d.]+)/g)].map(([, value]) => value);
  expect(values).toHaveLength(3);
  await untilSays(page, { selector: '[data-testid=value-air]', text: values[0] ?? '' });
  await untilSays(page, { selector: '[data-testid=value-root]', text: values[2] ?? '' });
  expect(await page.getByTestId('place-card').textContent()).toContain(`humidity ${values[1]} %RH`);
  expect(await page.getByTestId('first-run').count()).toBe(0);
  expect(await placesOf(daemon)).toMatchObject([{ id: 'sill', name: 'sill', invented: false }]);
  expect(complaints()).toEqual([]);
});

test('1 pack with 2 well-named probes and 1 unknown name makes 1 place with the first sheet, and the third stays unassigned', async () => {
  const daemon = await daemonFor();
  const { page } = await pageOf(daemon);
  const pack = [
    { n: 'root/temperature', u: 'Cel', v: 22.8 },
    { n: 'air/humidity/2', u: '%RH', v: 88 },
    { n: 'shelf/3', u: 'Cel', v: 19 },
  ];
  const message = { topic: readingsTopic('bench_7.A-b'), payloads: [JSON.stringify(pack)] };
  await mosquittoPub({ url: daemon.mqttUrl }, message);
  await page.locator('[data-place="bench_7.A-b"]').waitFor({ timeout: 2_000 });

  const place = { id: 'bench_7.A-b', name: 'bench_7.A-b', kind: 'unstated', invented: false };
  expect((await daemon.get('/api/v1/places')).body).toMatchObject({ places: [place] });
  const targets = await daemon.get('/api/v1/places/bench_7.A-b/targets');
  expect(targets).toEqual({ status: 200, body: GENERAL_HERBACEOUS });
  const { probes } = await daemon.read('/api/v1/probes', probesSchema);
  expect(probes).toHaveLength(3);
  expect(probes).toContainEqual({
    name: 'root/temperature',
    quantity: 'root/temperature',
    placeId: place.id,
  });
  expect(probes).toContainEqual({ name: 'air/humidity/2', quantity: 'air/humidity', placeId: place.id });
  expect(probes).toContainEqual({ name: 'shelf/3', quantity: null, placeId: null });

  await page.getByRole('link', { name: 'Probes' }).click();
  await untilSays(page, { selector: 'tr', text: /shelf\/3\s*unassigned\s*19\.0.°C/ });
  await untilSays(page, { selector: 'tr', text: /root\/temperature\s*bench_7\.A-b\s*22\.8.°C/ });
});

async function outsideBroker(): Promise<Readonly<Record<string, string>>> {
  const mosquitto = await startMosquitto();
  onTestFinished(() => mosquitto.close());
  return { STRIKEWELL_MQTT_URL: mosquitto.url };
}

describe.each([
  ['the embedded broker', async () => ({})],
  ['an outside broker', outsideBroker],
] as const)('the demo over %s', (_broker, settings) => {
  test('1 click makes 3 demo places and shows how far their record is; removing them leaves my 1 place alone', async () => {
    const daemon = await daemonFor(await settings());
    const joined = async () => (await daemon.read('/api/v1/house', houseSchema)).broker.connected || null;
    await until(joined, { what: 'joined broker', withinMs: 10_000 });
    const { page, complaints } = await pageOf(daemon);
    const line = (await page.getByTestId('first-run').locator('code').first().textContent()) ?? '';
    await page.getByTestId('start-demo').click();
    await page.getByTestId('place-card').nth(2).waitFor();
    expect(await page.getByTestId('place-card').filter({ hasText: 'invented' }).count()).toBe(3);
    const invented = await placesOf(daemon);
    expect(invented.map((place) => place.invented)).toEqual([true, true, true]);
    await untilProgress(page);
    await paste(line);

    await page.getByRole('link', { name: 'System' }).click();
    await page.getByRole('button', { name: /Stop and remove/ }).click();
    await page.getByRole('button', { name: 'Keep them' }).click();
    await page.getByRole('button', { name: /Stop and remove/ }).click();
    const all = async () => ((await placesOf(daemon)).length === 4 ? true : null);
    await until(all, { what: '4 places', withinMs: 10_000 });
    await page.getByRole('button', { name: 'Remove them' }).click();
    await page.getByTestId('start-demo').waitFor({ timeout: 20_000 });
    await page.getByRole('link', { name: 'Benches' }).click();
    await page.locator('[data-place=sill]').waitFor();
    expect(await page.getByTestId('place-card').count()).toBe(1);
    // A question may be under way at the moment at which its place is removed.
    const lateQuestion = /404 \(Not Found\) \S+\/places\/demo-/;
    expect(complaints().filter((complaint) => !lateQuestion.test(complaint))).toEqual([]);
    await expectOnlySill(daemon, invented);
  });
});

/** The bar is there at once and grows, until it is full and gone. */
async function untilProgress(page: Page): Promise<void> {
  const bar = page.getByRole('progressbar', { name: 'demo record written' });
  await bar.waitFor();
  const seen: number[] = [];
  const grown = async () => {
    const [value] = await bar.evaluateAll((bars) => bars.map((one) => Number(one.getAttribute('value'))));
    if (value !== undefined && value !== seen.at(-1)) seen.push(value);
    return value === undefined || seen.length > 1 ? true : null;
  };
  await until(grown, { what: 'progress', withinMs: 20_000 });
  expect(seen.toSorted((a, b) => a - b)).toEqual(seen);
  expect(seen.every((pct) => pct >= 0 && pct <= 100)).toBe(true);
}

/** Nothing else is left, and nothing comes back that was still under way. */
async function expectOnlySill(daemon: Daemon, invented: readonly { id: string }[]): Promise<void> {
  const record = openRecord(daemon.dataDir);
  onTestFinished(() => record.close());
  const left = async () => ({
    places: (await placesOf(daemon)).map(({ id }) => id),
    probes: (await daemon.read('/api/v1/probes', probesSchema)).probes.map(({ placeId }) => placeId),
    alarms: (await daemon.read('/api/v1/alarms', alarmsSchema)).alarms,
    running: (await daemon.read('/api/v1/house', houseSchema)).demo.running,
    readings: [...invented.map(({ id }) => record.count(id)), record.count('sill')],
  });
  const mine = { places: ['sill'], probes: ['sill', 'sill', 'sill'], alarms: [], running: false };
  expect(await left()).toEqual({ ...mine, readings: [...invented.map(() => 0), 3] });
  await daemon.stop();
  await daemon.start();
  expect(await left()).toEqual({ ...mine, readings: [...invented.map(() => 0), 3] });
}

test('a daemon whose outside broker is gone while the demo runs ends with 0 within 5 s of SIGTERM', async () => {
  const mosquitto = await startMosquitto();
  onTestFinished(() => mosquitto.close());
  const daemon = await daemonFor({ STRIKEWELL_MQTT_URL: mosquitto.url });
  expect((await daemon.post('/api/v1/demo')).status).toBe(202);
  await until(async () => (await placesOf(daemon))[1] ?? null, { what: '2nd place', withinMs: 5_000 });
  await mosquitto.kill();
  const startedMs = performance.now();
  expect(await daemon.stop()).toEqual({ code: 0, signal: null });
  // What a supervisor grants at the least before it kills.
  expect(performance.now() - startedMs).toBeLessThan(5_000);
});
