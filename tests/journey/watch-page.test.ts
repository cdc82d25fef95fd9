import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { readingsTopic, statusTopic } from '../../firmware-contracts/v1/topics.ts';
import { PACK_FAULTS } from '../../shared/faults.ts';
import { launchBrowser } from '../support/browser.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { connectPublisher, type Publisher } from '../support/mqttPublisher.ts';
import { nameless, type OpenPage, openPage, stickingOut, untilSays } from '../support/page.ts';

const PHONE = { widthPx: 360, heightPx: 740 };

let browser: Browser;
let daemon: Daemon;
let opened: OpenPage;
let page: Page;
let device: Publisher;

beforeAll(async () => {
  browser = await launchBrowser();
  daemon = await startDaemon({ settings: { STRIKEWELL_TIME_ZONE: 'UTC' } });
  device = await connectPublisher({ url: daemon.mqttUrl });
  opened = await openPage(browser, { url: daemon.httpUrl, ...PHONE });
  page = opened.page;
});
afterAll(async () => {
  await device.close();
  await browser.close();
  await daemon.close();
});

const say = (name: string, payload: string) => device.publish({ topic: readingsTopic(name), payload });
const received = () => page.getByTestId('heard');

test('the first run leads to a page that says what to send, with the topic and the address', async () => {
  await page.getByRole('link', { name: 'Live messages' }).click();
  await untilSays(page, { selector: '[data-testid=nothing-heard]', text: 'Watching. Nothing has come yet.' });
  await untilSays(page, { selector: '[data-testid=nothing-heard]', text: 'strikewell/1/sill/readings' });
  expect(await stickingOut(page)).toEqual([]);
});

test('a good pack, a bad one and a status are there within 2 s each, newest first, in the words of the check', async () => {
  await say('new-one', '[{"n":"air/temperature","u":"Cel","v":21.4}]');
  await received().filter({ hasText: 'place new-one, Air temperature' }).waitFor({ timeout: 2_000 });
  await say('new-one', '[{"n":"air/temperature","v":21.4}]');
  const bad = received().filter({ hasText: 'rejected: unit-missing' });
  await bad.waitFor({ timeout: 2_000 });
  expect(await bad.textContent()).toContain('unit-missing at /0');
  expect(await bad.textContent()).toContain(`→ ${PACK_FAULTS['unit-missing'].remedy}`);
  await device.publish({ topic: statusTopic('new-one'), payload: '{"state":"online"}', retain: true });
  await received().filter({ hasText: 'a status, which holds no readings' }).waitFor({ timeout: 2_000 });
  expect(await received().locator('b').allTextContents()).toEqual([
    'status',
    'rejected: unit-missing',
    'stored',
  ]);
  expect(await stickingOut(page)).toEqual([]);
  expect((await nameless(page)).without).toEqual([]);
});

test('what is no text is shown escaped, and markup as it was sent', async () => {
  await say('other', '<img src=x onerror=alert(1)>\u0000\u202e');
  const odd = received().filter({ hasText: 'rejected: not-json' });
  await odd.locator('summary').click();
  expect(await odd.locator('details pre').textContent()).toBe('<img src=x onerror=alert(1)>\\u0000\\u202e');
});

test('of 2 devices one is listed alone; paused the list stands still and says that 1 more came', async () => {
  await page.getByLabel('device', { exact: true }).selectOption('other');
  expect(await received().count()).toBe(1);
  await page.getByRole('button', { name: 'Pause' }).click();
  await say('other', '[]');
  await page.getByRole('button', { name: 'Go on (1 more came)' }).waitFor({ timeout: 2_000 });
  expect(await received().count()).toBe(1);
  await page.getByRole('button', { name: 'Go on' }).click();
  await received().nth(1).waitFor();
  await page.getByLabel('device', { exact: true }).selectOption('');
});

test('while the daemon is away the page says so; after its return it watches on by itself', async () => {
  await daemon.stop();
  await untilSays(page, { selector: 'main .problem', text: 'Not connected to the daemon' });
  await daemon.start();
  await page.locator('[data-testid=link-state][data-state=live]').waitFor({ timeout: 20_000 });
  const again = await connectPublisher({ url: daemon.mqttUrl });
  await page.getByText('Watching. Nothing has come yet.').waitFor({ timeout: 10_000 });
  await again.publish({
    topic: readingsTopic('back'),
    payload: '[{"n":"air/temperature","u":"Cel","v":20}]',
  });
  await received().filter({ hasText: 'place back' }).waitFor({ timeout: 5_000 });
  await again.close();
  expect(opened.complaints().filter((one) => !/WebSocket|ERR_CONNECTION/.test(one))).toEqual([]);
});
