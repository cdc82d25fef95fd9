import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { launchBrowser } from '../support/browser.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { connectPublisher } from '../support/mqttPublisher.ts';
import { packOf } from '../support/packs.ts';
import { nameless, type OpenPage, openPage, stickingOut, untilSays } from '../support/page.ts';

let browser: Browser;
let daemon: Daemon;
let opened: OpenPage;
let page: Page;

beforeAll(async () => {
  browser = await launchBrowser();
  daemon = await startDaemon({ settings: { STRIKEWELL_TIME_ZONE: 'UTC' } });
  opened = await openPage(browser, { url: `${daemon.httpUrl}/#/devices`, widthPx: 360, heightPx: 740 });
  page = opened.page;
});
afterAll(async () => {
  await browser.close();
  await daemon.close();
});

const payload = () => packOf([{ probe: 'air/temperature', unit: 'Cel', value: 21.4, atMs: Date.now() }]);
const card = (device: string) => page.getByTestId(`device-${device}`);
const order = (words: string) => page.getByRole('button', { name: words, exact: true }).click();
const secretShown = async () =>
  /password {2}([\w-]{43})/.exec((await page.getByTestId('device-secret').textContent()) ?? '')?.[1] ?? '';
const publish = async (device: string, password: string) => {
  const sensor = await connectPublisher({ url: daemon.mqttUrl, login: { user: device, password } });
  await sensor.publish({ topic: readingsTopic(device), payload: payload() });
  await sensor.close();
};

describe('at 360 px, on this machine alone', () => {
  let secret = '';

  test('with no device it says so; a bad name is refused in words', async () => {
    await untilSays(page, { selector: '.say', text: 'No device has reported yet' });
    await page.getByLabel('Add a device').fill('bench 1');
    await order('Add it');
    await untilSays(page, { selector: '.new-device .problem', text: 'a device is named by 1 to 64' });
  });

  test('a device added gets a secret with the settings to paste; what it then publishes is listed, and nobody else may', async () => {
    await page.getByLabel('Add a device').fill('bench-1');
    await order('Add it');
    await untilSays(page, { selector: '[data-testid=device-secret]', text: `port      ${daemon.mqttPort}` });
    secret = await secretShown();
    expect(secret).toHaveLength(43);
    expect(await page.getByTestId('device-secret').textContent()).toContain(
      `#define STRIKEWELL_SECRET "${secret}"`,
    );
    await publish('bench-1', secret);
    const stranger = await connectPublisher({ url: daemon.mqttUrl });
    await expect(stranger.publish({ topic: readingsTopic('bench-1'), payload: payload() })).rejects.toThrow(
      'was lost',
    );
    // the list is asked for every 10 s
    await untilSays(page, {
      selector: '[data-testid=device-bench-1]',
      text: 'since the start',
      withinMs: 15_000,
    });
    await untilSays(page, {
      selector: '[data-testid=turned-away]',
      text: '1 for writing on the topic of another',
    });
  });

  test('with all details open nothing sticks out, and every control has a name', async () => {
    await page.evaluate(() => {
      for (const details of document.querySelectorAll('details')) details.open = true;
    });
    expect(await stickingOut(page)).toEqual([]);
    const { without, named } = await nameless(page);
    expect(without).toEqual([]);
    expect(named).toBeGreaterThan(15);
  });

  test('once hidden the secret is nowhere on the page, nor after it is opened again', async () => {
    await order('I have copied it: hide it');
    expect(await page.content()).not.toContain(secret);
    await page.reload();
    await card('bench-1').waitFor();
    expect(await page.content()).not.toContain(secret);
  });

  test('a new secret is asked about first; the old one then ends', async () => {
    await order('New secret… bench-1');
    await page.getByText('it is cut off until it has the new one').waitFor();
    await order('Leave it');
    await publish('bench-1', secret);
    await order('New secret… bench-1');
    await order('Make a new secret');
    await page.getByTestId('device-secret').waitFor();
    const fresh = await secretShown();
    // MQTT 3.1.1, table 3.1: 4 bad user name or password
    await expect(publish('bench-1', secret)).rejects.toMatchObject({ code: 4 });
    await publish('bench-1', fresh);
    secret = fresh;
  });

  test('disabled it may not log in; enabled it may; retiring is asked about first, and undone by enabling', async () => {
    await order('Disable bench-1');
    await untilSays(page, { selector: '[data-testid=device-bench-1] h2', text: 'disabled' });
    await expect(publish('bench-1', secret)).rejects.toMatchObject({ code: 5 });
    await order('Enable bench-1');
    await untilSays(page, { selector: '[data-testid=device-bench-1] h2', text: 'own secret' });
    await order('Retire… bench-1');
    await order('Retire it');
    await untilSays(page, { selector: '[data-testid=device-bench-1] h2', text: 'retired' });
    await untilSays(page, { selector: '[data-testid=said]', text: 'bench-1 is retired' });
    const said = await page.locator('[data-testid=said]').boundingBox();
    expect(said?.height).toBeGreaterThan(20);
    expect(await page.locator('[data-testid=device-secret]').count()).toBe(0);
    await expect(publish('bench-1', secret)).rejects.toMatchObject({ code: 5 });
    await order('Enable bench-1');
    await untilSays(page, { selector: '[data-testid=device-bench-1] h2', text: 'own secret' });
    await publish('bench-1', secret);
  });

  test('a second client that publishes by turns with the first is shown here and on the Probes page', async () => {
    const login = { user: 'bench-1', password: secret };
    const two = [await connectPublisher({ url: daemon.mqttUrl, login })];
    two.push(await connectPublisher({ url: daemon.mqttUrl, login }));
    for (const sensor of [...two, ...two])
      await sensor.publish({ topic: readingsTopic('bench-1'), payload: payload() });
    for (const hash of ['#/probes', '#/devices']) {
      await page.evaluate((to) => {
        location.hash = to;
      }, hash);
      const text = 'Two clients publish as this device by turns';
      await untilSays(page, { selector: '[data-testid=second-client]', text, withinMs: 15_000 });
      expect(await stickingOut(page)).toEqual([]);
    }
    for (const sensor of two) await sensor.close();
  });

  test('while the daemon is away the devices as last received stay, with why; back, they are asked for again', async () => {
    await daemon.stop();
    await untilSays(page, { selector: '[role=status]', text: 'cannot be listed', withinMs: 20_000 });
    expect(await card('bench-1').count()).toBe(1);
    await daemon.start();
    await page.getByText('cannot be listed').waitFor({ state: 'detached', timeout: 20_000 });
    expect(opened.complaints().filter((one) => !/40[01]|ERR_CONNECTION|WebSocket/.test(one))).toEqual([]);
  });
});
