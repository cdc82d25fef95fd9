import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { z } from 'zod';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { batchSchema } from '../../shared/wire/cuttings/batches.ts';
import { diaryEntrySchema } from '../../shared/wire/cuttings/diary.ts';
import { launchBrowser } from '../support/browser.ts';
import { runCommand } from '../support/command.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { connectPublisher } from '../support/mqttPublisher.ts';
import { held, packOf } from '../support/packs.ts';
import { nameless, type OpenPage, openPage, stickingOut, tabTo, untilSays } from '../support/page.ts';
import { pngOf } from '../support/photos.ts';
import { until } from '../support/wait.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const startMs = Math.floor(Date.now() / 1000) * 1000;
const listSchema = z.object({ entries: z.array(diaryEntrySchema), next: z.string().nullable() });

let browser: Browser;
let daemon: Daemon;
let open: OpenPage;
let page: Page;

beforeAll(async () => {
  browser = await launchBrowser();
  daemon = await startDaemon({ settings: { STRIKEWELL_TIME_ZONE: 'UTC' } });
  const device = await connectPublisher({ url: daemon.mqttUrl });
  const span = { fromMs: startMs - 20 * HOUR_MS, toMs: startMs, everyMs: 10 * MINUTE_MS };
  for (const [probe, unit, value] of [
    ['air/temperature', 'Cel', 22],
    ['air/humidity', '%RH', 90],
    ['root/temperature', 'Cel', 24],
  ] as const) {
    const readings = held({ probe, unit, value, ...span });
    await device.publish({ topic: readingsTopic('bench-1'), payload: packOf(readings) });
  }
  await device.close();
  await daemon.patch('/api/v1/places/bench-1', { settings: { questionsOpen: false } });
  open = await openPage(browser, { url: `${daemon.httpUrl}/#/place/bench-1`, widthPx: 360, heightPx: 740 });
  page = open.page;
});
afterAll(async () => {
  await browser.close();
  await daemon.close();
});

const diary = () => page.getByTestId('diary');
const listed = async (query = 'placeId=bench-1') =>
  (await daemon.read(`/api/v1/diary?${query}`, listSchema)).entries;

test('one tap writes down "Misted", and Undo takes it back', async () => {
  await diary().getByRole('button', { name: 'Misted', exact: true }).click();
  await untilSays(page, { selector: '[data-testid=entry]', text: /^Misted \d\d:\d\d/ });
  expect(await listed()).toMatchObject([{ kind: 'misted', placeId: 'bench-1' }]);
  await diary().getByTestId('undo').getByRole('button', { name: 'Undo' }).click();
  await untilSays(page, { selector: '[data-testid=diary]', text: 'Nothing is written down yet.' });
  expect(await listed()).toEqual([]);
});

test('by the keyboard alone "Watered" is written down, and set to 30 min ago', async () => {
  await page.getByRole('heading', { name: 'Diary' }).click();
  await tabTo(page, { selector: '[data-testid=diary] .taps button:nth-of-type(3)' });
  await page.keyboard.press('Enter');
  await untilSays(page, { selector: '[data-testid=entry]', text: 'Watered' });
  await page.getByRole('heading', { name: 'Diary' }).click();
  await tabTo(page, { selector: '[data-testid=entry] button[aria-label^=Change]' });
  await page.keyboard.press('Enter');
  await tabTo(page, { selector: '.entry-form .taps button:nth-of-type(2)' });
  await page.keyboard.press('Enter');
  await tabTo(page, { selector: '.entry-form button[type=submit]' });
  await page.keyboard.press('Enter');
  const earlier = async () => {
    const [entry] = await listed();
    return Date.now() - Date.parse(entry?.at ?? '') > 29 * MINUTE_MS ? true : null;
  };
  await until(earlier, { what: 'a time of 30 min ago', withinMs: 10_000 });
});

test('each button is at least 24 px wide and high, and nothing sticks out at 360 px', async () => {
  for (const button of await diary().locator('.taps button, .photo-button, .row button').all()) {
    const box = await button.boundingBox();
    expect(Math.min(box?.width ?? 0, box?.height ?? 0)).toBeGreaterThanOrEqual(24);
  }
  expect(await stickingOut(page)).toEqual([]);
  expect((await nameless(page)).without).toEqual([]);
});

test('a photo is kept, shown small, and opens large; what is no photo is refused with the reason', async () => {
  const input = diary().locator('input[type=file]');
  await input.setInputFiles({ name: 'roots.jpg', mimeType: 'image/jpeg', buffer: Buffer.from('GIF89a') });
  await untilSays(page, { selector: '[data-testid=undo]', text: 'A photo must be a JPEG or a PNG file' });
  await input.setInputFiles({ name: 'roots.png', mimeType: 'image/png', buffer: pngOf(120) });
  const image = diary().locator('.thumbnail img');
  await image.waitFor();
  const drawn = () => image.evaluate((img: HTMLImageElement) => img.naturalWidth || null);
  expect(await until(drawn, { what: 'the photo', withinMs: 10_000 })).toBe(8);
  expect(await diary().locator('a.thumbnail').getAttribute('href')).toMatch(/^\/api\/v1\/diary\/\d+\/photo$/);
  expect(readdirSync(join(daemon.dataDir, 'photos'))).toHaveLength(1);
  expect(await stickingOut(page)).toEqual([]);
});

test('a note is written, deleted, and restored under "Deleted entries"', async () => {
  await diary().getByRole('button', { name: 'Note', exact: true }).click();
  await diary().locator('textarea').fill('callus shows');
  await diary().getByRole('button', { name: 'Save' }).click();
  await untilSays(page, { selector: '[data-testid=entry]', text: /Note .*: callus shows/ });
  await diary()
    .getByRole('button', { name: /^Delete Note/ })
    .click();
  await untilSays(page, { selector: '[data-testid=undo]', text: 'deleted' });
  await diary().getByText('Deleted entries').click();
  await diary()
    .getByRole('button', { name: /^Restore Note/ })
    .click();
  await untilSays(page, { selector: '[data-testid=entry]', text: 'callus shows' });
});

test('the charts mark what was written down, and the table beside the record says it in words', async () => {
  await page.locator('.place-card .mark text').first().waitFor();
  expect(await page.locator('.place-card .mark text').allTextContents()).toContain('watered');
  await page.getByText('The record as a table').click();
  await page.getByRole('cell', { name: /^Watered/ }).waitFor();
  await page.getByRole('cell', { name: /^Note .*callus shows/ }).waitFor();
});

test('the page of a batch and its report, to be printed, have the entries of the place while it stood there', async () => {
  const stuckAt = new Date(startMs - 10 * HOUR_MS).toISOString();
  const order = { placeId: 'bench-1', crop: 'Fuchsia', sheetId: 'poinsettia', stuckAt, count: 30 };
  const { id } = batchSchema.parse((await daemon.post('/api/v1/batches', order)).body);
  await page.goto(`${daemon.httpUrl}/#/batch/${id}`);
  await untilSays(page, { selector: '[data-testid=entry]', text: 'Watered' });
  await diary().getByRole('button', { name: 'Treated', exact: true }).click();
  await untilSays(page, { selector: '[data-testid=entry]', text: 'Treated' });
  await untilSays(page, { selector: '[data-testid=diary]', text: 'The label is the law.' });
  expect(await listed(`batchId=${id}&limit=1`)).toMatchObject([{ kind: 'treated', batchId: id }]);
  expect(await stickingOut(page)).toEqual([]);
  await page.goto(`${daemon.httpUrl}/#/report/${id}`);
  const report = page.getByTestId('report-diary');
  await report.getByText('Treated').waitFor();
  await report.locator('img').waitFor();
  await page.emulateMedia({ media: 'print' });
  expect(await report.getByText('callus shows').isVisible()).toBe(true);
  expect(await report.locator('img').isVisible()).toBe(true);
  await page.emulateMedia({ media: 'screen' });
  // the browser itself complains of the photo that was refused
  expect(open.complaints().filter((one) => !one.includes('415'))).toEqual([]);
});

test('a backup and its restore bring the entries and the photo back', async () => {
  const before = await listed();
  const settings = { STRIKEWELL_DATA_DIR: daemon.dataDir };
  const made = await runCommand(['backup', '--json'], settings);
  const { path } = z.object({ path: z.string() }).parse(JSON.parse(made.stdout));
  expect(readdirSync(join(daemon.dataDir, 'backups', 'photos'))).toHaveLength(1);
  const photo = before.find((entry) => entry.photo)?.id ?? '';
  expect((await fetch(`${daemon.httpUrl}/api/v1/diary/${photo}`, { method: 'DELETE' })).status).toBe(204);
  await daemon.stop();
  const restored = await runCommand(['restore', path, '--overwrite'], settings);
  expect(restored).toMatchObject({ code: 0, stdout: expect.stringContaining('photos: 1 restored') });
  await daemon.start();
  expect(await listed()).toEqual(before);
  const answer = await fetch(`${daemon.httpUrl}/api/v1/diary/${photo}/photo`);
  expect(Buffer.from(await answer.arrayBuffer())).toEqual(pngOf(120));
});
