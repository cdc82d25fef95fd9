import { connectAsync } from 'mqtt';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, onTestFinished, test } from 'vitest';
import { z } from 'zod';
import { launchBrowser } from '../support/browser.ts';
import { runCommand } from '../support/command.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { startMosquitto } from '../support/mosquitto.ts';
import { until } from '../support/wait.ts';

const unread = z.object({
  topics: z.array(
    z.object({
      topic: z.string(),
      suggestion: z.string().nullable(),
      count: z.number(),
      clientId: z.string().nullable(),
      address: z.string().nullable(),
    }),
  ),
  source: z.string(),
});
const PACK = '[{"n":"air/temperature","u":"Cel","v":21.4}]';

let daemon: Daemon;
let browser: Browser;

beforeAll(async () => {
  [daemon, browser] = await Promise.all([startDaemon(), launchBrowser()]);
}, 60_000);
afterAll(async () => {
  await browser.close();
  await daemon.close();
});

async function publish(url: string, topics: readonly string[], clientId = 'w1'): Promise<void> {
  const client = await connectAsync(url, { clientId });
  for (const topic of topics) await client.publishAsync(topic, PACK, { qos: 1 });
  await client.endAsync();
}

test('a technician misspells the topic: first page, Live messages and doctor name it and the right one', async () => {
  const page = await browser.newPage({ viewport: { width: 360, height: 800 } });
  await page.goto(daemon.httpUrl);
  await page.getByTestId('first-run').waitFor();
  await publish(daemon.mqttUrl, ['strikewell/1/w1/reading', 'strikewell/1/w1/reading', 'shed/lamp']);
  await page.getByTestId('misspelt-notice').waitFor({ timeout: 20_000 });
  const notice = await page.getByTestId('misspelt-notice').textContent();
  expect(notice).toContain('publishes on strikewell/1/w1/reading, which nothing reads.');
  expect(notice).toContain('Did you mean strikewell/1/w1/readings?');
  await page.getByTestId('misspelt-notice').getByRole('link').click();
  const row = page.getByTestId('misspelt').getByTestId('unread');
  await row.waitFor({ timeout: 20_000 });
  expect(await row.textContent()).toContain('2 messages, the last at');
  expect(await page.getByTestId('other-topics').textContent()).toContain('nothing reads: 1');
  const { topics, source } = await daemon.read('/api/v1/watch/unread', unread);
  expect(source).toBe('embedded');
  expect(topics[0]).toEqual({
    topic: 'strikewell/1/w1/reading',
    suggestion: 'strikewell/1/w1/readings',
    count: 2,
    clientId: 'w1',
    address: '127.0.0.1',
  });
  expect(topics.map(({ topic }) => topic)).toEqual(['strikewell/1/w1/reading', 'shed/lamp']);
  const settings = {
    STRIKEWELL_DATA_DIR: daemon.dataDir,
    STRIKEWELL_HTTP_PORT: String(daemon.httpPort),
    STRIKEWELL_MQTT_PORT: String(daemon.mqttPort),
  };
  const named = async () => {
    const { stdout } = await runCommand(['doctor'], settings);
    return stdout.includes('nothing reads strikewell/1/w1/reading: 2 messages') ? stdout : null;
  };
  const said = await until(named, { what: 'the doctor counting both messages', withinMs: 90_000 });
  expect(said).toContain('Did you mean strikewell/1/w1/readings?');
  await page.close();
}, 180_000);

test('a topic that somebody subscribes to, or that a mapping reads, is not listed; a misspelt one is all the same', async () => {
  const display = await connectAsync(daemon.mqttUrl);
  onTestFinished(() => display.endAsync());
  await display.subscribeAsync('#');
  await publish(daemon.mqttUrl, ['heating/boiler', 'Strikewell/1/w2/readings']);
  const { topics } = await daemon.read('/api/v1/watch/unread', unread);
  expect(topics.map(({ topic }) => topic)).not.toContain('heating/boiler');
  expect(topics.map(({ topic }) => topic)).toContain('Strikewell/1/w2/readings');
}, 60_000);

test('at an outside broker misspelt topics are listed and those of other applications are not', async () => {
  const mosquitto = await startMosquitto();
  onTestFinished(() => mosquitto.close());
  const other = await startDaemon({ settings: { STRIKEWELL_MQTT_URL: mosquitto.url } });
  onTestFinished(() => other.close());
  const listening = async () =>
    (await other.read('/api/v1/watch/unread', unread)).source === 'listening' ? true : null;
  await until(listening, { what: 'listening beside', withinMs: 60_000 });
  const misspelt = ['strikewell/1/w1/reading', 'Strikewell/1/w2/readings', 'strikewel/1/w3/readings'];
  await publish(mosquitto.url, [...misspelt, 'heating/boiler', 'heating/1/boiler/readings']);
  await publish(mosquitto.url, ['strikewell/1/w4/readings']);
  const listed = async () => {
    const { topics } = await other.read('/api/v1/watch/unread', unread);
    return topics.length >= misspelt.length ? topics.map(({ topic }) => topic).toSorted() : null;
  };
  expect(await until(listed, { what: 'misspelt topics', withinMs: 60_000 })).toEqual(misspelt.toSorted());
}, 180_000);
