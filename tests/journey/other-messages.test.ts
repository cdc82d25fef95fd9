import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { z } from 'zod';
import { launchBrowser } from '../support/browser.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { mosquittoPub } from '../support/mqttPublisher.ts';
import { nameless, type OpenPage, openPage, stickingOut, tabTo, untilSays } from '../support/page.ts';
import { until } from '../support/wait.ts';

const TOPIC = 'house/east/climate';
const PHONE = { widthPx: 360, heightPx: 740 };
const refusedSchema = z.object({
  refused: z.array(z.looseObject({ code: z.string(), pointer: z.string().nullable(), topic: z.string() })),
});

let browser: Browser;
let daemon: Daemon;
let opened: OpenPage;
let page: Page;

beforeAll(async () => {
  browser = await launchBrowser();
  daemon = await startDaemon({ settings: { STRIKEWELL_TIME_ZONE: 'UTC' } });
  opened = await openPage(browser, { url: daemon.httpUrl, ...PHONE });
  page = opened.page;
});
afterAll(async () => {
  await browser.close();
  await daemon.close();
});

/** A foreign message, by Mosquitto's own command. */
const send = (payload: unknown) =>
  mosquittoPub({ url: daemon.mqttUrl }, { topic: TOPIC, payloads: [JSON.stringify(payload)] });
const tap = (pointer: string) =>
  page.getByTestId('message-tree').locator(`[data-pointer="${pointer}"]`).click();
const tidy = async () => {
  expect(await stickingOut(page)).toEqual([]);
  expect((await nameless(page)).without).toEqual([]);
};

describe('a device that sends JSON of its own, at 360 px', () => {
  test('the first run leads to the page, which says that nothing is read yet', async () => {
    await page.getByRole('link', { name: 'Other topics' }).click();
    await page.getByText('No other topic is read yet').waitFor();
    await tidy();
  });

  test('a topic of the contract and a wrong filter are refused as they are typed, before anything is asked', async () => {
    await page.getByRole('button', { name: 'Read another topic' }).click();
    const topic = page.getByLabel('topic', { exact: true });
    await topic.fill('strikewell/1/+/readings');
    await untilSays(page, { selector: '.problem', text: 'strikewell/1/' });
    await topic.fill('house/#/x');
    await untilSays(page, { selector: '.problem', text: 'before its end' });
    expect(await page.getByRole('button', { name: 'Listen for 2 minutes' }).isDisabled()).toBe(true);
  });

  test('a message published by mosquitto_pub is received within 5 s, picked, and drawn with 4 values to tap', async () => {
    await page.getByLabel('topic', { exact: true }).fill('house/+/climate');
    await page.getByRole('button', { name: 'Listen for 2 minutes' }).click();
    await untilSays(page, { selector: '[data-testid=listening]', text: /Listening for 1\d\d s more/ });
    await send({ sensors: [{ temp_f: 70.7, humidity: 0.88 }], battery: 81, 'at/s': Date.now() / 1000 });
    await page.getByTestId('captured').first().getByRole('radio').check({ timeout: 5_000 });
    expect(await page.getByTestId('message-tree').getByRole('button').count()).toBe(4);
    await tidy();
  });

  test('2 tapped values and a time are tried at once: 21.5 °C and 88 %RH of the device east', async () => {
    await tap('/sensors/0/temp_f');
    const temperature = page.getByTestId('mapped-value').nth(0);
    await untilSays(page, { selector: '[data-testid=try-out]', text: '70.7 °C' });
    await temperature.getByLabel('sent in').selectOption('degF');
    // 70.7 °F − 32 = 38.7; × 5/9 = 21.5
    await untilSays(page, { selector: '[data-testid=try-out]', text: /air\/temperature {2}21\.5\d* °C/ });
    await tap('/sensors/0/humidity');
    await untilSays(page, { selector: '[data-testid=try-out]', text: /air\/humidity {2}0\.88 %RH/ });
    await page.getByTestId('mapped-value').nth(1).getByLabel('sent in').selectOption('/');
    await untilSays(page, { selector: '[data-testid=try-out]', text: /air\/humidity {2}88 %RH/ });
    await page.getByRole('radio', { name: 'the time' }).check();
    await tap('/at~1s');
    expect(await page.getByLabel('at', { exact: true }).inputValue()).toBe('/at~1s');
    expect(await page.getByLabel('written as').inputValue()).toBe('s');
    await untilSays(page, { selector: '[data-testid=try-out]', text: '2 readings would be stored' });
    await untilSays(page, { selector: '[data-testid=try-out]', text: 'place east' });
    await tidy();
  });

  test('a wrong unit is said at once, with code, pointer and remedy; nothing was stored by trying', async () => {
    await page.getByTestId('mapped-value').nth(1).locator('summary').click();
    await page.getByTestId('mapped-value').nth(1).getByLabel('times').fill('100');
    await untilSays(page, { selector: '[data-testid=try-out]', text: 'out-of-range at /sensors/0/humidity' });
    await page.getByTestId('mapped-value').nth(1).getByLabel('times').fill('1');
    await untilSays(page, { selector: '[data-testid=try-out]', text: '2 readings would be stored' });
    expect(await daemon.read('/api/v1/probes', z.object({ probes: z.array(z.unknown()) }))).toEqual({
      probes: [],
    });
  });

  test('once it is kept, the next message is live on the page of its place', async () => {
    await page.getByRole('button', { name: 'Read it from now on' }).click();
    await page.getByTestId('mapping').waitFor();
    await tidy();
    await send({ sensors: [{ temp_f: 68, humidity: 0.9 }], battery: 81, 'at/s': Date.now() / 1000 });
    await page.goto(`${daemon.httpUrl}/#/place/east`);
    await page.getByRole('heading', { level: 1, name: 'east' }).waitFor();
    await untilSays(page, { selector: 'main', text: '20.0' });
    // 77 °F is 25 °C by the definition of the scale
    await send({ sensors: [{ temp_f: 77, humidity: 0.9 }], 'at/s': Date.now() / 1000 });
    await untilSays(page, { selector: 'main', text: '25.0', withinMs: 5_000 });
  });

  test('a wrong message is refused, listed with its pointer, and counted beside the topic', async () => {
    await send({ sensors: [{ temp_f: 'warm', humidity: 0.9 }], 'at/s': Date.now() / 1000 });
    const { refused } = await until(
      async () => {
        const answer = await daemon.read('/api/v1/refused', refusedSchema);
        return answer.refused.length > 0 ? answer : null;
      },
      { what: 'refused pack', withinMs: 5_000 },
    );
    expect(refused).toMatchObject([{ code: 'mapped-no-number', pointer: '/sensors/0/temp_f', topic: TOPIC }]);
    await page.goto(`${daemon.httpUrl}/#/probes`);
    await untilSays(page, { selector: '.refused', text: 'mapped-no-number' });
    await page.goto(`${daemon.httpUrl}/#/other`);
    await untilSays(page, { selector: '[data-testid=mapping]', text: '4 readings stored, 1 message' });
    await untilSays(page, { selector: '[data-testid=mapping]', text: 'refused: mapped-no-number' });
  });

  test('it is there after a restart, is changed by keyboard, and removed after being asked once more', async () => {
    await daemon.stop();
    await untilSays(page, { selector: '.link-notice', text: 'Not connected' });
    await daemon.start();
    await page.locator('[data-testid=link-state][data-state=live]').waitFor({ timeout: 20_000 });
    await untilSays(page, { selector: '[data-testid=mapping]', text: 'No message yet' });
    await tabTo(page, { selector: '[data-testid=mapping] button' });
    await page.keyboard.press('Enter');
    await page.getByTestId('mapping-editor').waitFor();
    expect(await page.getByTestId('mapped-value').count()).toBe(2);
    await page.getByRole('button', { name: 'Leave it' }).click();
    const row = page.getByTestId('mapping');
    await row.getByRole('button', { name: 'Remove…' }).click();
    await row.getByRole('button', { name: 'Keep' }).click();
    await row.getByRole('button', { name: 'Remove…' }).click();
    await row.getByRole('button', { name: 'Remove', exact: true }).click();
    await page.getByText('No other topic is read yet').waitFor();
    await send({ sensors: [{ temp_f: 50, humidity: 0.9 }], 'at/s': Date.now() / 1000 });
    const { probes } = await daemon.read(
      '/api/v1/probes',
      z.object({
        probes: z.array(z.looseObject({ name: z.string(), latest: z.looseObject({ value: z.number() }) })),
      }),
    );
    expect(probes.find(({ name }) => name === 'air/temperature')?.latest.value).toBeCloseTo(25, 9);
    expect(opened.complaints().filter((one) => !/WebSocket|ERR_CONNECTION/.test(one))).toEqual([]);
  });
});
