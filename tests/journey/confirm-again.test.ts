import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { askAs } from '../support/access.ts';
import { launchBrowser } from '../support/browser.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { type OpenPage, openPage, untilSays } from '../support/page.ts';
import { wallClock } from '../support/wall-clock.ts';

const OWNER = 'mist on the third bench';
const MINUTE_S = 60;
const clock = wallClock();

let browser: Browser;
let daemon: Daemon;
let opened: OpenPage;
let page: Page;

beforeAll(async () => {
  browser = await launchBrowser();
  daemon = await startDaemon({ settings: clock.settings });
  opened = await openPage(browser, { url: `${daemon.httpUrl}/#/house`, widthPx: 360, heightPx: 740 });
  page = opened.page;
  await page.getByLabel('owner password').fill(OWNER);
  await page.getByRole('button', { name: 'Set it' }).click();
  await untilSays(page, { selector: '[data-testid=who]', text: 'owner' });
});
afterAll(async () => {
  await browser.close();
  await daemon.close();
});

async function addAccount(name: string): Promise<void> {
  const form = page.getByTestId('new-account');
  await form.evaluate((element) => element.closest('details')?.setAttribute('open', ''));
  await form.getByLabel('name').fill(name);
  await form.getByLabel('password').fill('vents open before noon');
  await form.getByRole('button', { name: 'Add it' }).click();
}

const dialog = () => page.getByTestId('confirm').getByLabel('your password');

test('9 min after the sign-in an account is added at once; at 11 min the password is asked for, and the order goes on', async () => {
  clock.set(9 * MINUTE_S);
  await addAccount('Robin');
  await untilSays(page, { selector: '[data-testid=accounts]', text: 'Robin' });
  expect(await dialog().isVisible()).toBe(false);
  clock.set(11 * MINUTE_S);
  await addAccount('Kim');
  await dialog().fill('not the password');
  await page.keyboard.press('Enter');
  await untilSays(page, { selector: '[data-testid=confirm]', text: 'does not fit' });
  await dialog().fill(OWNER);
  await page.keyboard.press('Enter');
  await untilSays(page, { selector: '[data-testid=accounts]', text: 'Kim' });
  expect(await dialog().isVisible()).toBe(false);
});

test('it is asked for again 10 min later, and an order that was cancelled changes nothing', async () => {
  clock.set(22 * MINUTE_S);
  const row = page.getByTestId('accounts').getByRole('listitem').filter({ hasText: 'Kim' });
  await row.getByRole('button', { name: 'Remove Kim' }).click();
  await row.getByRole('button', { name: /Remove/ }).click();
  await dialog().waitFor();
  await page.keyboard.press('Escape');
  await untilSays(page, { selector: '#page', text: 'Cancelled: your password was not given.' });
  await untilSays(page, { selector: '[data-testid=accounts]', text: 'Kim' });
});

test('a program is told what to do, and its order passes once the password was given', async () => {
  const url = (path: string) => `${daemon.httpUrl}/api/v1/access${path}`;
  const body = { name: 'owner', password: OWNER };
  const { cookie } = await askAs(url('/sign-in'), { method: 'POST', body });
  clock.set(33 * MINUTE_S);
  const order = () => askAs(url('/device-login'), { method: 'PUT', body: { name: 'devices' }, cookie });
  const refused = await order();
  expect(refused.status).toBe(403);
  expect(refused.text).toContain('"confirm-needed"');
  expect(refused.text).toContain('POST /api/v1/access/confirm');
  const given = await askAs(url('/confirm'), { method: 'POST', body: { password: OWNER }, cookie });
  expect(given.status).toBe(200);
  expect((await order()).status).toBe(200);
});
