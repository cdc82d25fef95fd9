import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { axeFaults } from '../support/axe.ts';
import { launchBrowser } from '../support/browser.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { connectPublisher } from '../support/mqttPublisher.ts';
import { packOf } from '../support/packs.ts';
import { nameless, type OpenPage, openPage, stickingOut, tabTo, untilSays } from '../support/page.ts';

const OWNER = 'mist on the third bench';
const WALL = 'the screen by the door';
const PHONE = { widthPx: 360, heightPx: 740 };
/** What the browser itself notes of an answer that is an error. */
const REFUSED = /401|403|429|ERR_CONNECTION|WebSocket/;

let browser: Browser;
let daemon: Daemon;
let opened: OpenPage;
let page: Page;

beforeAll(async () => {
  browser = await launchBrowser();
  daemon = await startDaemon({ settings: { STRIKEWELL_TIME_ZONE: 'UTC' } });
  const sensor = await connectPublisher({ url: daemon.mqttUrl });
  const payload = packOf([{ probe: 'air/temperature', unit: 'Cel', value: 21.4, atMs: Date.now() }]);
  await sensor.publish({ topic: readingsTopic('bench-1'), payload });
  await sensor.close();
  opened = await openPage(browser, { url: `${daemon.httpUrl}/#/house`, ...PHONE });
  page = opened.page;
});
afterAll(async () => {
  await browser.close();
  await daemon.close();
});

const live = () => page.locator('[data-testid=link-state][data-state=live]').waitFor({ timeout: 15_000 });
const lastState = () => page.evaluate(() => localStorage.getItem('strikewell.last-state'));

async function signIn(name: string, password: string): Promise<void> {
  await page.getByLabel('name', { exact: true }).fill(name);
  await page.getByLabel('password', { exact: true }).fill(password);
  await page.keyboard.press('Enter');
}

async function openDetails(): Promise<void> {
  await page.evaluate(() => {
    for (const details of document.querySelectorAll('details')) details.open = true;
  });
}

describe('at 360 px', () => {
  test('an owner password set on the System page signs this page in, and it goes on live', async () => {
    await page.getByLabel('owner password').fill(OWNER);
    await page.getByRole('button', { name: 'Set it' }).click();
    await untilSays(page, { selector: '[data-testid=who]', text: 'owner' });
    await live();
    expect((await daemon.get('/api/v1/places')).status).toBe(401);
  });

  test('a login for sensors is made with the settings to paste, which are gone when the page is opened again', async () => {
    await openDetails();
    await page.getByTestId('new-device-login').getByRole('button').click();
    await untilSays(page, { selector: '[data-testid=device-settings]', text: /password {2}[\w-]{43}/ });
    const said = (await page.getByTestId('device-settings').textContent()) ?? '';
    expect(said).toContain(`port      ${daemon.mqttPort}`);
    expect(await stickingOut(page)).toEqual([]);
    const password = /password {2}([\w-]{43})/.exec(said)?.[1] ?? '';
    const sensor = await connectPublisher({ url: daemon.mqttUrl, login: { user: 'devices', password } });
    await sensor.close();
    await page.reload();
    await live();
    await untilSays(page, { selector: '[data-testid=access]', text: 'Sensors log in as "devices"' });
    expect(await page.content()).not.toContain(password);
  });

  test('an account is added, nothing sticks out with all details open, and every control has a name', async () => {
    await openDetails();
    const form = page.getByTestId('new-account');
    await form.getByLabel('name').fill('Wall');
    await form.getByLabel('may').selectOption('look');
    await form.getByLabel('password').fill(WALL);
    await form.getByRole('button', { name: 'Add it' }).click();
    await untilSays(page, { selector: '[data-testid=accounts]', text: 'Wall' });
    await untilSays(page, { selector: '[data-testid=sessions]', text: 'this page' });
    expect(await stickingOut(page)).toEqual([]);
    const { without, named } = await nameless(page);
    expect(without).toEqual([]);
    expect(named).toBeGreaterThan(20);
  });

  test('signing out shows the sign-in screen alone, and leaves nothing of the house in the browser', async () => {
    await page.getByTestId('sign-out').click();
    await page.getByTestId('sign-in').waitFor();
    expect(await lastState()).toBeNull();
    await page.goto(`${daemon.httpUrl}/#/place/bench-1`);
    await page.reload();
    await page.getByTestId('sign-in').waitFor();
    expect(await page.content()).not.toContain('bench-1');
    expect(await lastState()).toBeNull();
    expect(await stickingOut(page)).toEqual([]);
    expect((await nameless(page)).without).toEqual([]);
    expect(await axeFaults(page)).toEqual([]);
  });

  test('a wrong password is said and the field emptied; the right one, by keyboard alone, shows the place asked for', async () => {
    await signIn('owner', 'wrong wrong wrong');
    await untilSays(page, { selector: '[role=status]', text: 'Name and password do not fit' });
    expect(await page.getByLabel('password', { exact: true }).inputValue()).toBe('');
    await tabTo(page, { selector: 'input[type=password]' });
    await page.keyboard.type(OWNER);
    await page.keyboard.press('Enter');
    await page.getByRole('heading', { level: 1, name: 'bench-1' }).waitFor();
    await live();
  });

  test('a session ended elsewhere brings the sign-in screen within 5 s', async () => {
    const other = await openSignedIn();
    await other.evaluate(() => {
      location.hash = '#/house';
    });
    const rows = other.getByTestId('sessions').getByRole('listitem').filter({ hasNotText: 'this page' });
    await rows.first().getByRole('button').click();
    await page.getByTestId('sign-in').waitFor({ timeout: 5_000 });
    await other.context().close();
  });

  test('who looks sees the house without accounts or the login of sensors, and no button it may not use', async () => {
    await signIn('wall', WALL);
    await live();
    await page.goto(`${daemon.httpUrl}/#/house`);
    await untilSays(page, { selector: '[data-testid=who]', text: 'Wall' });
    await untilSays(page, { selector: '[data-testid=sessions]', text: 'this page' });
    expect(await page.getByTestId('accounts').count()).toBe(0);
    expect(await page.getByText('Login the sensors share').count()).toBe(0);
    const own = ['make-backup', 'start-demo', 'new-device', 'new-account'];
    for (const testId of own) expect(await page.getByTestId(testId).count()).toBe(0);
    await page.goto(`${daemon.httpUrl}/#/place/bench-1`);
    await page.getByRole('heading', { level: 1, name: 'bench-1' }).waitFor();
    await openDetails();
    await page.getByText('Targets for this place.').waitFor();
    const orders = /Save|Keep|Log|Acknowledge|Shelve/;
    expect(await page.getByRole('button', { name: orders }).count()).toBe(0);
    expect(await page.locator('fieldset.groups input:enabled, fieldset.groups select:enabled').count()).toBe(
      0,
    );
    await page.goto(`${daemon.httpUrl}/#/people`);
    await untilSays(page, { selector: '.plain-page', text: 'Only owners see who is notified' });
    expect((await daemon.post('/api/v1/backups')).status).toBe(401);
    expect(opened.complaints().filter((complaint) => !REFUSED.test(complaint))).toEqual([]);
  });
});

/** The page in another browser context, signed in as the owner. */
async function openSignedIn(): Promise<Page> {
  const context = await browser.newContext({ locale: 'en-GB' });
  const other = await context.newPage();
  await other.goto(daemon.httpUrl);
  await other.getByLabel('password', { exact: true }).fill(OWNER);
  await other.keyboard.press('Enter');
  await other.locator('[data-testid=link-state][data-state=live]').waitFor();
  return other;
}
