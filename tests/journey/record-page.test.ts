import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, onTestFinished, test } from 'vitest';
import { z } from 'zod';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { launchBrowser } from '../support/browser.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { connectPublisher, type Publisher } from '../support/mqttPublisher.ts';
import { held, type Point, packOf } from '../support/packs.ts';
import { openPage, tabTo, untilSays } from '../support/page.ts';
import { until } from '../support/wait.ts';

/** Bands by which sums can be made by hand, day and night alike. */
const BAND = { lowC: 20, highC: 25 };
const TARGETS = {
  dayStart: '06:00',
  nightStart: '20:00',
  rootZone: { day: BAND, night: BAND },
  air: { day: BAND, night: BAND, ceilingC: 27 },
  vpd: { lowKpa: 0.1, highKpa: 0.5 },
  saturation: { relativeHumidityPct: 97 },
};
const MINUTE_MS = 60_000;
const AIR = { probe: 'air/temperature', unit: 'Cel' };
const ROOT = { probe: 'root/temperature', unit: 'Cel' };
const HUMIDITY = { probe: 'air/humidity', unit: '%RH' };

const temperatureSchema = z.record(z.string(), z.number().nullable());
const exposuresSchema = z.object({
  rootZone: temperatureSchema,
  air: temperatureSchema,
  vpd: temperatureSchema,
});
const targetsSchema = z.object({ air: z.object({ ceilingC: z.number() }) });
const nowSchema = z.object({ quantities: z.object({ airTemperatureC: z.object({ state: z.string() }) }) });

let browser: Browser;
let daemon: Daemon;
let device: Publisher;
const startMs = Math.floor(Date.now() / 1000) * 1000;
const ago = (minutes: number): number => startMs - minutes * MINUTE_MS;

beforeAll(async () => {
  browser = await launchBrowser();
  daemon = await startDaemon({ settings: { STRIKEWELL_TIME_ZONE: 'UTC' } });
  device = await connectPublisher({ url: daemon.mqttUrl });
});
afterAll(async () => {
  await browser.close();
  await device.close();
  await daemon.close();
});

async function report(place: string, points: readonly Point[]): Promise<void> {
  await device.publish({ topic: readingsTopic(place), payload: packOf(points) });
}

/**
 * A place with 3 hours of record: air 22 °C for 1 h, nothing for 30 min, 28 °C for 1 h; root zone 18 °C for 2 h.
 */
async function recordedPlace(id: string): Promise<void> {
  const everyMs = 5 * MINUTE_MS;
  await report(id, [
    ...held({ ...AIR, value: 22, fromMs: ago(180), toMs: ago(120), everyMs }),
    ...held({ ...AIR, value: 28, fromMs: ago(90), toMs: ago(30), everyMs }),
    ...held({ ...HUMIDITY, value: 80, fromMs: ago(180), toMs: ago(30), everyMs }),
    ...held({ ...ROOT, value: 18, fromMs: ago(180), toMs: ago(60), everyMs }),
  ]);
  const body = { ...TARGETS, from: new Date(ago(600)).toISOString() };
  expect((await daemon.put(`/api/v1/places/${id}/targets`, body)).status).toBe(200);
}

async function placePage(id: string) {
  const opened = await openPage(browser, { url: `${daemon.httpUrl}/#/place/${id}` });
  onTestFinished(() => opened.close());
  await countsTable(opened.page).waitFor();
  return opened;
}

/** Thin and unbreakable spaces as plain ones. */
const plain = (text: string | null) => (text ?? '').replace(/\s/g, ' ');

const countsTable = (page: Page) => page.getByRole('table').filter({ hasText: 'hours within' });

/** The table of hours and sums as the page shows it: by row, the cells for air, leaf and root zone. */
async function countsOf(page: Page): Promise<Record<string, string[]>> {
  const rows = await countsTable(page).locator('tbody tr').all();
  const read = rows.map(async (row) => {
    const cells = await row.locator('td').allTextContents();
    return [plain(await row.locator('th').textContent()), cells.map(plain)] as const;
  });
  return Object.fromEntries(await Promise.all(read));
}

const fixed = (value: number | null | undefined, digits: number, unit: string) =>
  typeof value === 'number' ? `${value.toFixed(digits)} ${unit}` : '–';

/** The rows that a person expects who has the answer of the interface before him. */
function rowsFor({ air, vpd, rootZone }: z.infer<typeof exposuresSchema>): Record<string, string[]> {
  const rows = (name: string, of: string, digits: number, unit: string) => [
    name,
    [air, vpd, rootZone].map((one) => fixed(one[of], digits, unit)),
  ];
  const three = (
    name: string,
    [ofTemperature, ofVpd]: readonly [string, string],
    [unit, vpdUnit]: readonly [string, string],
  ) => [
    name,
    [
      fixed(air[ofTemperature], 1, unit),
      fixed(vpd[ofVpd], 2, vpdUnit),
      fixed(rootZone[ofTemperature], 1, unit),
    ],
  ];
  return Object.fromEntries([
    rows('hours above', 'hoursAbove', 1, 'h'),
    rows('hours within', 'hoursWithin', 1, 'h'),
    rows('hours below', 'hoursBelow', 1, 'h'),
    rows('hours on record', 'coveredHours', 1, 'h'),
    three('degree-hours above', ['degreeHoursAbove', 'kpaHoursAbove'], ['°C·h', 'kPa·h']),
    three('degree-hours below', ['degreeHoursBelow', 'kpaHoursBelow'], ['°C·h', 'kPa·h']),
    three('highest', ['maxC', 'maxKpa'], ['°C', 'kPa']),
    three('mean', ['meanC', 'meanKpa'], ['°C', 'kPa']),
    three('lowest', ['minC', 'minKpa'], ['°C', 'kPa']),
    ['hours over ceiling', [fixed(air['hoursOverCeiling'], 1, 'h'), '', '']],
    ['degree-hours over ceiling', [fixed(air['degreeHoursOverCeiling'], 1, '°C·h'), '', '']],
  ]);
}

test('hours and degree-hours beside the record are those made by hand and those of the interface, for 24 h and for the last 100 min', async () => {
  await recordedPlace('bench-1');
  const asked: string[] = [];
  const { page, complaints } = await placePage('bench-1');
  page.on('request', (request) => {
    if (request.url().includes('/exposures?')) asked.push(request.url().slice(daemon.httpUrl.length));
  });
  // By hand: 1 h at 22 within, 1 h at 28 over 25 by 3 and over the ceiling of 27 by 1; 2 h at 18 under 20 by 2.
  const whole = await countsOf(page);
  expect(whole['hours above']?.[0]).toBe('1.0 h');
  expect(whole['hours within']?.[0]).toBe('1.0 h');
  expect(whole['degree-hours above']?.[0]).toBe('3.0 °C·h');
  expect(whole['degree-hours over ceiling']?.[0]).toBe('1.0 °C·h');
  expect(whole['hours below']?.[2]).toBe('2.0 h');
  expect(whole['degree-hours below']?.[2]).toBe('4.0 °C·h');

  await tabTo(page, { selector: 'input[type=range]' });
  await page.keyboard.press('End');
  for (let step = 0; step < 19; step += 1) await page.keyboard.press('ArrowLeft');
  // One step is 5 min. By hand: the hour at 28 alone, and 40 min of the root zone at 18, short by 2.
  const chosen = async () => ((await countsOf(page))['hours below']?.[2] === '0.7 h' ? true : null);
  await until(chosen, { what: 'span chosen', withinMs: 5_000 });
  const counts = await countsOf(page);
  expect(counts['hours within']?.[0]).toBe('0.0 h');
  expect(counts['hours above']?.[0]).toBe('1.0 h');
  expect(counts['degree-hours below']?.[2]).toBe('1.3 °C·h');
  const exposures = await daemon.read(asked.at(-1) ?? '', exposuresSchema);
  expect(counts).toEqual(rowsFor(exposures));
  expect(complaints()).toEqual([]);
});

test('the table twin of 21 h of record holds 22.0, 23.0, 24.0 and 25.0 with a gap between each two, air and root zone alike', async () => {
  const everyMs = 5 * MINUTE_MS;
  for (const [stretch, value] of [22, 23, 24, 25].entries()) {
    // 285 min of record and 40 min of silence, 4 times; 15 min of silence are a gap.
    const span = { fromMs: ago(1300 - 325 * stretch), toMs: ago(1015 - 325 * stretch), everyMs };
    await report('bench-2', [
      ...held({ ...AIR, ...span, value }),
      ...held({ ...ROOT, ...span, value: value - 1 }),
    ]);
  }
  const { page } = await placePage('bench-2');
  await page.getByText('The record as a table').click();
  const rows = await page.locator('details', { hasText: 'The record as a table' }).locator('tbody tr').all();
  const cells = await Promise.all(rows.map((row) => row.locator('td').allTextContents()));
  const steps = (column: number) =>
    cells
      .map((row) => row[column])
      .filter((text, k, all) => text !== all[k - 1] && (k > 0 || text !== 'gap'));
  expect(steps(0)).toEqual(['22.0', 'gap', '23.0', 'gap', '24.0', 'gap', '25.0', 'gap']);
  expect(steps(2)).toEqual(['21.0', 'gap', '22.0', 'gap', '23.0', 'gap', '24.0', 'gap']);
});

test('in °F 22.8 °C reads 73.0, the 1.4 K between root zone and air 2.5, and 4.0 °C·h read 7.2 °F·h, without the 32', async () => {
  await recordedPlace('bench-3');
  await report('bench-3', [
    { ...ROOT, value: 22.8, atMs: startMs },
    { ...AIR, value: 21.4, atMs: startMs },
  ]);
  const { page, complaints } = await placePage('bench-3');
  await untilSays(page, { selector: '[data-testid=place-card]', text: '1.4 warmer than the air' });
  await page.getByRole('link', { name: 'System' }).click();
  await page.getByRole('radio', { name: '°F' }).check();
  await page.getByRole('link', { name: 'Benches' }).click();
  const card = '[data-place=bench-3]';
  // 22.8 × 9/5 + 32 = 73.04 and 21.4 × 9/5 + 32 = 70.52; 1.4 × 9/5 = 2.52.
  await untilSays(page, { selector: `${card} [data-testid=value-root]`, text: /^73\.0$/ });
  await untilSays(page, { selector: `${card} [data-testid=value-air]`, text: /^70\.5$/ });
  await untilSays(page, { selector: card, text: '2.5 warmer than the air' });
  await page.locator(`${card} h2 a`).click();
  await countsTable(page).waitFor();
  const counts = await countsOf(page);
  // 4.0 × 9/5 = 7.2 and 3.0 × 9/5 = 5.4.
  expect(counts['degree-hours below']?.[2]).toBe('7.2 °F·h');
  expect(counts['degree-hours above']?.[0]).toBe('5.4 °F·h');
  // 28 × 9/5 + 32 = 82.4.
  expect(counts['highest']?.[0]).toBe('82.4 °F');
  await page.reload();
  await untilSays(page, { selector: '[data-testid=value-root]', text: /^73\.0$/ });
  expect(complaints()).toEqual([]);
});

test('a ceiling of "warm" is refused beside its field; one of 29.5 is kept, and 28 °C is over the ceiling no more', async () => {
  await recordedPlace('bench-4');
  await report('bench-4', [{ ...AIR, value: 28, atMs: Date.now() }]);
  const { page, complaints } = await placePage('bench-4');
  await untilSays(page, { selector: '[data-testid=place-card]', text: '1.0 over its ceiling' });
  await page.locator('summary', { hasText: 'Targets' }).click();
  const ceiling = page.locator('details.targets').getByLabel('ceiling');
  await ceiling.fill('warm');
  await page.getByRole('button', { name: 'Save' }).click();
  await untilSays(page, { selector: 'form [role=status]', text: /^Not saved/ });
  expect(await ceiling.getAttribute('aria-invalid')).toBe('true');
  const note = await ceiling.getAttribute('aria-describedby');
  expect((await page.locator(`[id="${note}"]`).textContent())?.length).toBeGreaterThan(5);
  expect(await page.locator('form [aria-invalid=true]').count()).toBe(1);
  const kept = async () => (await daemon.read('/api/v1/places/bench-4/targets', targetsSchema)).air.ceilingC;
  expect(await kept()).toBe(27);

  await ceiling.fill('29.5');
  await page.getByRole('button', { name: 'Save' }).click();
  await untilSays(page, { selector: 'form [role=status]', text: /^Saved/ });
  expect(await page.locator('form [aria-invalid=true]').count()).toBe(0);
  expect(await kept()).toBe(29.5);
  const { quantities } = await daemon.read('/api/v1/places/bench-4/now', nowSchema);
  expect(quantities.airTemperatureC.state).toBe('above');
  await untilSays(page, { selector: '[data-testid=place-card]', text: '3.0 above its band' });
  // What was recorded before stays counted against the ceiling of its time: 1 h at 28 against 27.
  await page.reload();
  await countsTable(page).waitFor();
  expect((await countsOf(page))['degree-hours over ceiling']?.[0]).toBe('1.0 °C·h');
  // The refusal is an answer of 400, which the browser notes by itself; nothing else.
  expect(complaints()).toHaveLength(1);
  expect(complaints()[0]).toMatch(/status of 400 .*\/places\/bench-4\/targets$/);
});

test('by button and key the record becomes closer, to a minute, and earlier, each time fetched anew over the view; the sums follow, and it folds', async () => {
  await recordedPlace('bench-5');
  const { page, complaints } = await placePage('bench-5');
  const spans: number[] = [];
  page.on('request', (request) => {
    const { pathname, searchParams } = new URL(request.url());
    if (!pathname.endsWith('/series') || searchParams.get('quantity') !== 'airTemperatureC') return;
    const [from, to] = ['from', 'to'].map((name) => Date.parse(searchParams.get(name) ?? ''));
    spans.push(((to ?? 0) - (from ?? 0)) / MINUTE_MS);
  });
  const fetched = (minutes: number) =>
    until(async () => (spans.some((span) => Math.abs(span - minutes) < 0.1) ? true : null), {
      what: `a record of ${minutes} min`,
      withinMs: 5_000,
    });
  await page.getByRole('button', { name: 'Closer' }).click();
  // 24 h by 1.6
  await fetched(900);
  for (let step = 0; step < 20; step += 1) await page.keyboard.press('+');
  await fetched(1);
  for (let step = 0; step < 12; step += 1) await page.keyboard.press('-');
  await page.keyboard.press('ArrowLeft');
  await fetched(1.6 ** 12);
  await page.getByRole('button', { name: '24 hours' }).click();
  const whole = async () => ((await countsOf(page))['hours below']?.[2] === '2.0 h' ? true : null);
  await until(whole, { what: 'the whole day again', withinMs: 5_000 });
  await page.getByTestId('fold-record').locator('summary').first().click();
  await countsTable(page).waitFor({ state: 'detached' });
  await page.reload();
  await page.getByTestId('fold-pictures').waitFor();
  expect(await countsTable(page).count()).toBe(0);
  expect(complaints()).toEqual([]);
});
