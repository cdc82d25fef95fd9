import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, onTestFinished, test } from 'vitest';
import { z } from 'zod';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { axeFaults } from '../support/axe.ts';
import { launchBrowser } from '../support/browser.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { connectPublisher } from '../support/mqttPublisher.ts';
import { packOf } from '../support/packs.ts';
import { nameless, openPage, stickingOut, untilSays } from '../support/page.ts';
import { type MailServer, startMailServer } from '../support/smtp.ts';

/** What somebody sees who opens the link of a message at night, on a phone: a page that needs no script and no sign-in. */
const MINUTE_MS = 60_000;
const ALARM = 'bench-1.air-over-ceiling';
const idSchema = z.object({ id: z.number() });

let browser: Browser;
beforeAll(async () => {
  browser = await launchBrowser();
});
afterAll(() => browser.close());

async function peopledHouse(): Promise<{ daemon: Daemon; mail: MailServer }> {
  const mail = await startMailServer();
  onTestFinished(() => mail.close());
  const settings = {
    STRIKEWELL_SMTP_URL: mail.url,
    STRIKEWELL_MAIL_FROM: 'watch@bench.example',
    STRIKEWELL_TIME_ZONE: 'UTC',
    STRIKEWELL_PUBLIC_URL: 'https://bench.example',
  };
  const daemon = await startDaemon({ settings });
  onTestFinished(() => daemon.close());
  for (const name of ['Robin', 'Sam']) {
    const { id } = idSchema.parse((await daemon.post('/api/v1/people', { name, quiet: null })).body);
    const method = { kind: 'mail', address: `${name.toLowerCase()}@bench.example` };
    expect((await daemon.post(`/api/v1/people/${id}/ways`, method)).status).toBe(201);
  }
  return { daemon, mail };
}

/** An hour of air: 21 to 24 °C, a gap of 16 min, a steep rise, and 29.9 °C now. */
async function hotHour({ mqttUrl }: Daemon): Promise<void> {
  const nowMs = Date.now();
  const at = (min: number, value: number) => ({
    probe: 'air/temperature',
    unit: 'Cel',
    value,
    atMs: nowMs - min * MINUTE_MS,
  });
  const quiet = Array.from({ length: 30 }, (_, k) => at(60 - k, 22.5 + 1.5 * Math.sin(k / 6)));
  const rise = Array.from({ length: 14 }, (_, k) => at(14 - k, 23 + k * 0.5));
  const device = await connectPublisher({ url: mqttUrl });
  for (const records of [[...quiet, ...rise], [at(0, 29.9)]])
    await device.publish({ topic: readingsTopic('bench-1'), payload: packOf(records) });
  await device.close();
}

async function linkOf(mail: MailServer): Promise<string> {
  const [first] = await mail.atLeast(1, 5_000);
  return /Acknowledge: https:\/\/bench\.example(\/answer\/\S+)/.exec(first?.text ?? '')?.[1] ?? '';
}

async function hotHouse(): Promise<{ daemon: Daemon; link: string }> {
  const { daemon, mail } = await peopledHouse();
  await hotHour(daemon);
  const settings = { alarms: { 'air-over-ceiling': { onDelayMs: 0 } } };
  expect((await daemon.patch('/api/v1/places/bench-1', { settings })).status).toBe(200);
  return { daemon, link: await linkOf(mail) };
}

/** A phone whose browser runs no scripts, unless told to. */
async function phone(options: { colorScheme?: 'light' | 'dark'; scripts?: boolean }): Promise<Page> {
  const context = await browser.newContext({
    viewport: { width: 360, height: 740 },
    colorScheme: options.colorScheme ?? 'light',
    javaScriptEnabled: options.scripts ?? false,
    locale: 'en-GB',
  });
  onTestFinished(() => context.close());
  return context.newPage();
}

/** What the page says, top to bottom. */
const headings = (page: Page) => page.locator('h1, .state, .first h2, button, h2, svg.hour').allInnerTexts();

test('at 360 px without a script: state, what to do first, the button, the last hour with its limit, who was called and who comes next; the button acknowledges, and says by whom and when', async () => {
  const { daemon, link } = await hotHouse();
  const page = await phone({});
  await page.goto(daemon.httpUrl + link);
  const said = (await headings(page)).join('\n');
  expect(said).toMatch(
    /^bench-1: air 29\.9 °C[^\n]+\nUnacknowledged high priority, raised at \d\d:\d\d[^\n]*\nDo first\n(Do first\n)?Acknowledge\n/,
  );
  expect(await page.locator('.first p').textContent()).toBe('Shade it first, then open vents and any cover.');
  const chart = page.getByTestId('answer-chart');
  expect(await chart.locator('.limit-name').textContent()).toBe('limit 26.7 °C');
  expect(await chart.locator('title').textContent()).toMatch(
    /^Air temperature in the last hour: from 21\.0 °C to 29\.\d °C, now 29\.\d °C; limit 26\.7 °C\.$/,
  );
  // the gap of 16 min is left open
  expect(await chart.locator('.trace').count()).toBe(2);
  const people = await page.getByTestId('answer-people').locator('li').allInnerTexts();
  expect(people).toEqual([
    expect.stringMatching(/^Robin \(you\) was called at \d\d:\d\d by e-mail\.$/),
    expect.stringMatching(/^Sam will be called at \d\d:\d\d, unless somebody acknowledges first\.$/),
  ]);
  expect(await stickingOut(page)).toEqual([]);
  await page.getByRole('button', { name: 'Acknowledge' }).click();
  await untilSays(page, { selector: '[role=status]', text: 'Acknowledged by Robin' });
  await untilSays(page, { selector: '.state', text: /^Acknowledged by Robin at \d\d:\d\d$/ });
  expect(await page.getByTestId('answer-people').locator('li').allInnerTexts()).toEqual([
    expect.stringMatching(/^Robin \(you\) was called at .*, and acknowledged it at \d\d:\d\d\.$/),
  ]);
  const alarms = await daemon.read('/api/v1/alarms', z.looseObject({ alarms: z.array(z.looseObject({})) }));
  expect(alarms.alarms).toContainEqual(
    expect.objectContaining({ id: ALARM, state: 'acknowledged', acknowledgedBy: 'Robin' }),
  );
});

test('in the dark scheme everything has a name and a contrast of its own', async () => {
  const { daemon, link } = await hotHouse();
  const page = await phone({ colorScheme: 'dark', scripts: true });
  await page.goto(daemon.httpUrl + link);
  const { without, named } = await nameless(page);
  expect([without, named > 1]).toEqual([[], true]);
  for (const colorScheme of ['dark', 'light'] as const) {
    await page.emulateMedia({ colorScheme });
    expect(await axeFaults(page), colorScheme).toEqual([]);
  }
  await page.emulateMedia({ colorScheme: 'dark' });
  const colours = await page.evaluate(() => {
    const of = (selector: string, property: string) => {
      const element = document.querySelector(selector);
      return element ? getComputedStyle(element).getPropertyValue(property) : '';
    };
    return [of('body', 'background-color'), of('.hour .trace', 'stroke'), of('.hour .tick', 'fill')];
  });
  expect(colours).toEqual(['rgb(20, 24, 21)', 'rgb(235, 231, 219)', 'rgb(169, 176, 167)']);
});

test('with a script on a slow link the button says at once that it is acknowledging; cut off, that it may not be; tried again, it is', async () => {
  const { daemon, link } = await hotHouse();
  const page = await phone({ scripts: true });
  await page.goto(daemon.httpUrl + link);
  let cut = true;
  await page.route('**/answer/*', async (route) => {
    await new Promise((resolve) => setTimeout(resolve, 1_500));
    await (cut ? route.abort() : route.continue());
  });
  const button = page.locator('form button');
  await button.click();
  await untilSays(page, { selector: 'form button', text: 'Acknowledging…', withinMs: 500 });
  await untilSays(page, { selector: '.problem', text: 'it may not be acknowledged. Try again.' });
  expect(await button.textContent()).toBe('Acknowledge');
  cut = false;
  await button.click();
  await untilSays(page, { selector: '[role=status]', text: 'Acknowledged by Robin' });
});

test('on the page the button says at once that it is acknowledging, on a slow link too, and why it failed; another page follows', async () => {
  const { daemon } = await hotHouse();
  const one = await openPage(browser, { url: `${daemon.httpUrl}/#/alarms`, widthPx: 360 });
  onTestFinished(one.close);
  const other = await openPage(browser, { url: `${daemon.httpUrl}/#/alarms`, widthPx: 360 });
  onTestFinished(other.close);
  let cut = true;
  await one.page.route('**/acknowledge', async (route) => {
    await new Promise((resolve) => setTimeout(resolve, cut ? 500 : 5_000));
    await (cut ? route.abort() : route.continue());
  });
  const button = one.page.getByTestId('acknowledge');
  await button.click();
  await untilSays(one.page, { selector: '[data-testid=acknowledge]', text: 'Acknowledging…', withinMs: 400 });
  const failed = 'Not acknowledged: the daemon cannot be reached. Try again.';
  await untilSays(one.page, { selector: '.answers .problem', text: failed });
  cut = false;
  await button.click();
  await untilSays(one.page, { selector: '.answers [role=status]', text: 'It is not acknowledged yet.' });
  await untilSays(one.page, { selector: '[data-testid=alarm-state]', text: /^acknowledged$/ });
  await untilSays(one.page, { selector: '.alarm-state span', text: /, acknowledged .*\d\d:\d\d/ });
  await untilSays(other.page, {
    selector: '[data-testid=alarm-state]',
    text: /^acknowledged$/,
    withinMs: 2_000,
  });
  expect(other.complaints()).toEqual([]);
});
