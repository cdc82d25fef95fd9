import { readFileSync } from 'node:fs';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { Sheet } from '../../shared/model/cuttings/sheet.ts';
import { launchBrowser } from '../support/browser.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { nameless, type OpenPage, openPage, stickingOut, untilSays } from '../support/page.ts';

const PHONE = { widthPx: 360, heightPx: 740 };

let browser: Browser;
let daemon: Daemon;
let opened: OpenPage;
let page: Page;

beforeAll(async () => {
  browser = await launchBrowser();
  daemon = await startDaemon({ settings: { STRIKEWELL_TIME_ZONE: 'UTC' } });
  opened = await openPage(browser, { url: `${daemon.httpUrl}/#/sheets`, ...PHONE, colorScheme: 'dark' });
  page = opened.page;
});
afterAll(async () => {
  await browser.close();
  await daemon.close();
});

const heading = () => page.getByRole('heading', { level: 1 });
const source = '[data-testid=sheet-source]';

test('at 360 px, in the dark, the sheets are listed and found by crop; nothing sticks out, and all has a name', async () => {
  await page.getByRole('heading', { name: 'Shipped sheets' }).waitFor();
  expect(await page.locator('.sheets li').count()).toBeGreaterThanOrEqual(16);
  expect(await stickingOut(page)).toEqual([]);
  await page.getByRole('searchbox', { name: 'find' }).fill('poinsettia');
  await untilSays(page, { selector: 'main [role=status]', text: /^1 sheet$/ });
  expect((await nameless(page)).without).toEqual([]);
  await page.locator('.sheets a').click();
  await heading().filter({ hasText: 'Poinsettia' }).waitFor();
});

test('a figure says its source by touch, and the next one by the keyboard alone', async () => {
  const figures = page.getByTestId('sheet-table').getByRole('button');
  await figures.filter({ hasText: '26.0–28.0' }).first().click();
  await untilSays(page, { selector: source, text: /root zone, day, sticking.*WIL05: Wilkerson.*28 °C/s });
  await page.keyboard.press('ArrowRight');
  await page.keyboard.press('Enter');
  await untilSays(page, { selector: source, text: /root zone, day, callusing/ });
  expect(await stickingOut(page)).toEqual([]);
});

test('an own copy is made and changed: a wrong figure is named at its field, a right one makes version 2', async () => {
  await page.getByRole('button', { name: 'Make an own copy' }).click();
  await heading().filter({ hasText: 'Poinsettia, own copy' }).waitFor();
  await page.getByRole('button', { name: 'Change it…' }).click();
  const ceiling = page.locator('input[name="stages.0.targets.air.ceilingC"]');
  await ceiling.fill('hot');
  await page.getByRole('button', { name: 'Save as the next version' }).click();
  await page.locator('.field.wrong').filter({ has: ceiling }).waitFor();
  expect(await stickingOut(page)).toEqual([]);
  expect((await nameless(page)).without).toEqual([]);
  await ceiling.fill('29,5');
  await page.getByRole('textbox', { name: 'source', exact: true }).fill('our bench, 2025');
  await page.getByRole('button', { name: 'Save as the next version' }).click();
  await page.getByText('own, version 2').waitFor();
  await page.getByTestId('sheet-table').getByRole('button', { name: '29.5' }).first().click();
  await untilSays(page, { selector: source, text: 'our bench, 2025' });
});

test('it is downloaded, deleted, taken back with Undo, and uploaded again as another sheet', async () => {
  const download = page.waitForEvent('download');
  await page.getByRole('link', { name: 'Download' }).click();
  const path = await (await download).path();
  const sheet = JSON.parse(readFileSync(path, 'utf8')) as Sheet;
  expect(sheet).toMatchObject({ own: true, version: 2 });
  await page.getByRole('button', { name: 'Delete' }).click();
  await page.getByText('Poinsettia, own copy deleted.').waitFor();
  expect(await page.getByRole('heading', { name: 'Own sheets' }).count()).toBe(0);
  await page.getByRole('button', { name: 'Undo' }).click();
  await page.getByRole('heading', { name: 'Own sheets' }).waitFor();
  const upload = page.getByLabel(/Upload a sheet/);
  await upload.setInputFiles({ name: 'x.json', mimeType: 'application/json', buffer: Buffer.from('no') });
  await untilSays(page, { selector: '.upload .problem', text: 'The file is no JSON' });
  await upload.setInputFiles(path);
  await heading().filter({ hasText: 'Poinsettia, own copy' }).waitFor();
  const listed = (await (await fetch(`${daemon.httpUrl}/api/v1/sheets`)).json()) as { sheets: Sheet[] };
  expect(listed.sheets.filter(({ own }) => own).map(({ sources }) => sources)).toEqual([
    sheet.sources,
    sheet.sources,
  ]);
});

test('while the daemon is away the list says so, and is there again by itself', async () => {
  await daemon.stop();
  await page.getByText('Not connected to the daemon').waitFor();
  await page.getByRole('link', { name: 'All target sheets' }).click();
  await untilSays(page, { selector: 'main .problem', text: 'The sheets cannot be listed' });
  await daemon.start();
  await page.getByRole('heading', { name: 'Shipped sheets' }).waitFor({ timeout: 20_000 });
});
