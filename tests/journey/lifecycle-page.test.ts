import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { askAs } from '../support/access.ts';
import { launchBrowser } from '../support/browser.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { connectPublisher } from '../support/mqttPublisher.ts';
import { packOf } from '../support/packs.ts';
import { nameless, stickingOut, tabTo, untilSays } from '../support/page.ts';
import { openRecord } from '../support/record.ts';
import { until } from '../support/wait.ts';

const OWNER = 'mist on the third bench';

let browser: Browser;
let daemon: Daemon;
let page: Page;
let secret = '';
let cookie = '';

beforeAll(async () => {
  browser = await launchBrowser();
  daemon = await startDaemon({ settings: { STRIKEWELL_TIME_ZONE: 'UTC' } });
  const api = `${daemon.httpUrl}/api/v1`;
  const owner = await askAs(`${api}/access/owner`, { method: 'PUT', body: { password: OWNER } });
  cookie = owner.cookie;
  const login = await askAs(`${api}/access/device-login`, {
    method: 'PUT',
    body: { name: 'devices' },
    cookie,
  });
  secret = (JSON.parse(login.text) as { secret: string }).secret;
  const context = await browser.newContext({ viewport: { width: 360, height: 740 }, locale: 'en-GB' });
  page = await context.newPage();
  await page.goto(daemon.httpUrl);
  await page.getByLabel('name', { exact: true }).fill('owner');
  await page.getByLabel('password', { exact: true }).fill(OWNER);
  await page.keyboard.press('Enter');
  await page.locator('[data-testid=link-state][data-state=live]').waitFor({ timeout: 15_000 });
});
afterAll(async () => {
  await browser.close();
  await daemon.close();
});

async function publish(device: string, airC: number): Promise<void> {
  const sensor = await connectPublisher({
    url: daemon.mqttUrl,
    login: { user: 'devices', password: secret },
  });
  const payload = packOf([{ probe: 'air/temperature', unit: 'Cel', value: airC, atMs: Date.now() }]);
  await sensor.publish({ topic: readingsTopic(device), payload });
  await sensor.close();
}

const stored = (device: string) => {
  const record = openRecord(daemon.dataDir);
  const count = record.count(device);
  record.close();
  return count;
};

describe('at 360 px, behind an owner password', () => {
  test('2 messages of a new device are acknowledged, wait, and are in the record once it is accepted by one tap', async () => {
    await publish('bench-1', 21.4);
    await publish('bench-1', 21.6);
    await untilSays(page, { selector: '[data-testid=waiting-bench-1]', text: '2 messages kept' });
    expect(stored('bench-1')).toBe(0);
    expect(await stickingOut(page)).toEqual([]);
    await page.getByRole('button', { name: 'Accept bench-1' }).click();
    await untilSays(page, { selector: '[data-testid=said]', text: 'bench-1 accepted: 2 readings stored.' });
    await untilSays(page, { selector: '.benches', text: 'bench-1' });
    expect(stored('bench-1')).toBe(2);
    await page.getByTestId('waiting').waitFor({ state: 'detached' });
  });

  test('a device is ignored and put back by the keyboard alone', async () => {
    await publish('bench-2', 20);
    await page.goto(`${daemon.httpUrl}/#/devices`);
    await untilSays(page, { selector: '[data-testid=waiting-bench-2]', text: '1 message kept' });
    await tabTo(page, { selector: '[aria-label="Ignore bench-2"]' });
    await page.keyboard.press('Enter');
    await untilSays(page, { selector: '[data-testid=ignored]', text: 'Ignored: 1' });
    await tabTo(page, { selector: '[data-testid=ignored] summary' });
    await page.keyboard.press('Enter');
    await tabTo(page, { selector: '[aria-label="Undo bench-2"]' });
    await page.keyboard.press('Enter');
    await untilSays(page, { selector: '[data-testid=said]', text: 'bench-2 is waiting again.' });
    expect((await nameless(page)).without).toEqual([]);
    expect(await stickingOut(page)).toEqual([]);
  });

  test('a place is deleted after a question that names what goes, and restored with its record', async () => {
    await page.goto(`${daemon.httpUrl}/#/place/bench-1`);
    await page.getByText('Archive or delete').click();
    await page.getByRole('button', { name: 'Delete bench-1' }).click();
    const question = '[data-testid=archive-question]';
    await untilSays(page, { selector: question, text: 'place bench-1; 1 probe; readings since' });
    // who works by keyboard stands on the way back
    expect(await page.evaluate(() => document.activeElement?.textContent)).toBe('Cancel');
    expect(await stickingOut(page)).toEqual([]);
    await page.locator(question).getByRole('button', { name: 'Delete', exact: true }).click();
    await untilSays(page, { selector: '[data-testid=archive]', text: 'Removed for good' });
    const { status } = await askAs(`${daemon.httpUrl}/api/v1/places/bench-1`, { cookie });
    expect(status).toBe(404);
    expect(stored('bench-1')).toBe(2);
    expect((await nameless(page)).without).toEqual([]);
    expect(await stickingOut(page)).toEqual([]);
    await page.getByRole('button', { name: 'Restore bench-1' }).click();
    await untilSays(page, { selector: '.say', text: 'The archive is empty.' });
    await page.goto(`${daemon.httpUrl}/#/`);
    await untilSays(page, { selector: '.benches', text: 'bench-1' });
  });

  test('removed for good from the page, nothing of it is left; its device waits again', async () => {
    await askAs(`${daemon.httpUrl}/api/v1/places/bench-1`, { method: 'DELETE', cookie });
    await page.goto(`${daemon.httpUrl}/#/archived`);
    await page.getByRole('button', { name: 'Remove bench-1' }).click();
    await page.getByRole('button', { name: 'Remove', exact: true }).click();
    await until(() => (stored('bench-1') === 0 ? true : null), {
      what: 'no reading of bench-1 in the record',
      withinMs: 30_000,
    });
    await untilSays(page, { selector: '.say', text: 'The archive is empty.', withinMs: 30_000 });
    await publish('bench-1', 22);
    await page.goto(`${daemon.httpUrl}/#/devices`);
    await untilSays(page, { selector: '[data-testid=waiting-bench-1]', text: '1 message kept' });
    const record = openRecord(daemon.dataDir);
    expect(record.integrity()).toBe('ok');
    record.close();
  });

  test('killed while it waits, the device is still on the list', async () => {
    await daemon.kill();
    await daemon.start();
    await untilSays(page, {
      selector: '[data-testid=waiting-bench-1]',
      text: '1 message kept',
      withinMs: 30_000,
    });
  });
});
