import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { batchSchema } from '../../shared/wire/cuttings/batches.ts';
import { preparationSchema } from '../../shared/wire/cuttings/preparations.ts';
import { launchBrowser } from '../support/browser.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { connectPublisher } from '../support/mqttPublisher.ts';
import { held, packOf } from '../support/packs.ts';
import { nameless, openPage, stickingOut, untilSays } from '../support/page.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const DAY_MS = 24 * HOUR_MS;
const startMs = Math.floor(Date.now() / MINUTE_MS) * MINUTE_MS;
const iso = (hours: number) => new Date(startMs + hours * HOUR_MS).toISOString();
/** As an input of a date and a time takes it, UTC. */
const wall = (hours: number) => iso(hours).slice(0, 16);
/** The day so many days from now. */
const day = (days: number) => new Date(startMs + days * DAY_MS).toISOString().slice(0, 10);

let browser: Browser;
let daemon: Daemon;
let page: Page;

beforeAll(async () => {
  browser = await launchBrowser();
  daemon = await startDaemon({ settings: { STRIKEWELL_TIME_ZONE: 'UTC' } });
  const device = await connectPublisher({ url: daemon.mqttUrl });
  const span = { fromMs: startMs - 5 * HOUR_MS, toMs: startMs, everyMs: 10 * MINUTE_MS };
  for (const [place, air] of [
    ['bench-1', 24],
    ['box', 12],
  ] as const) {
    const temperature = held({ probe: 'air/temperature', unit: 'Cel', value: air, ...span });
    const humidity = held({ probe: 'air/humidity', unit: '%RH', value: 85, ...span });
    await device.publish({ topic: readingsTopic(place), payload: packOf([...temperature, ...humidity]) });
    await daemon.patch(`/api/v1/places/${place}`, { settings: { questionsOpen: false } });
  }
  await device.close();
  ({ page } = await openPage(browser, { url: daemon.httpUrl, widthPx: 360, heightPx: 740 }));
});
afterAll(async () => {
  await browser.close();
  await daemon.close();
});

const inPlan = () => page.getByTestId('plan-form');
const undo = () => page.getByTestId('undo').getByRole('button', { name: 'Undo' }).click();
const fitsAndIsNamed = async () => {
  expect(await stickingOut(page)).toEqual([]);
  expect((await nameless(page)).without).toEqual([]);
};

describe('on a phone of 360 px', () => {
  let batchId = '';

  test('a batch is planned two weeks ahead: its last nitrogen feed is due today, ticked, and taken back', async () => {
    await page.getByRole('button', { name: /^Pages: / }).click();
    await page.getByRole('link', { name: 'Batches' }).click();
    await page.getByRole('link', { name: 'Plan a batch' }).click();
    await inPlan().waitFor();
    await page.getByLabel('crop').fill('Geranium');
    await page.getByLabel('to be stuck on').fill(day(14));
    await page.getByRole('checkbox', { name: 'Last nitrogen feed' }).check();
    await fitsAndIsNamed();
    await inPlan().getByRole('button', { name: 'Save' }).click();
    const steps = { selector: '[data-testid=plan-steps]' };
    await untilSays(page, { ...steps, text: 'Last nitrogen feed: due today' });
    await untilSays(page, { ...steps, text: 'Disputed: Trials point the other way' });
    await fitsAndIsNamed();
    await page.getByTestId('plan-steps').getByRole('checkbox').click();
    await untilSays(page, { ...steps, text: 'Last nitrogen feed: done' });
    await undo();
    await untilSays(page, { ...steps, text: 'Last nitrogen feed: due today' });
  });

  test('it stands among what is due today; moved by a week its step moves too', async () => {
    const id = /#\/plan\/(\d+)/.exec(page.url())?.[1] ?? '';
    await page.goto(`${daemon.httpUrl}/#/batches`);
    await untilSays(page, {
      selector: '[data-testid=due-now]',
      text: 'Geranium: Last nitrogen feed, due today.',
    });
    await fitsAndIsNamed();
    await page.getByTestId('planned').getByRole('link', { name: 'Geranium' }).click();
    await page.getByText('Change the plan').click();
    await page.getByLabel('to be stuck on').fill(day(21));
    await inPlan().getByRole('button', { name: 'Save' }).click();
    await page.getByTestId('undo').getByText('Plan saved.').waitFor();
    const moved = await daemon.read(`/api/v1/preparations/${id}`, preparationSchema);
    expect(moved.steps).toMatchObject([{ id: 'nitrogen', due: day(7), state: 'ahead' }]);
  });

  test('with place, sheet and number it is stuck by one tap', async () => {
    await untilSays(page, { selector: '[data-testid=plan-head]', text: 'To stick it, first note' });
    if (!(await inPlan().isVisible())) await page.getByText('Change the plan').click();
    await page.getByText('Where, how many, and in what').click();
    await page.getByLabel('place', { exact: true }).selectOption('bench-1');
    await page.getByLabel('target sheet').selectOption('poinsettia');
    await page.getByLabel('how many').fill('40');
    await page.getByLabel('position').fill('B3–C4');
    await inPlan().getByRole('button', { name: 'Save' }).click();
    await page.getByRole('button', { name: 'Stick it now' }).click();
    await untilSays(page, { selector: '[data-testid=batch-head]', text: 'Sticking since' });
    batchId = /#\/batch\/(\d+)/.exec(page.url())?.[1] ?? '';
    const batch = await daemon.read(`/api/v1/batches/${batchId}`, batchSchema);
    expect(batch).toMatchObject({ crop: 'Geranium', count: 40, placeId: 'bench-1', position: 'B3–C4' });
  });

  test('held 2 h from the opening of a box at 12 °C is within the 4 h published', async () => {
    const holding = page.getByTestId('holding');
    await holding.getByText('Note the cut and the box').click();
    await page.getByLabel('box opened').fill(wall(-2));
    await page.getByLabel('air probe in the box').selectOption('box');
    await fitsAndIsNamed();
    await holding.getByRole('button', { name: 'Save' }).click();
    const says = (text: string) => untilSays(page, { selector: '[data-testid=holding]', text });
    await says('In the box 12.0 °C to 12.0 °C');
    await says(
      'Within the limit. Geranium is to be stuck within 4 h, counted from the opening of the box [HR44].',
    );
    await undo();
    await says('How long they were held is not known');
  });

  test('weaning is planned from the usual steps and never called done before it is', async () => {
    const weaning = page.getByTestId('weaning');
    await weaning.getByText('Plan the weaning').click();
    await untilSays(page, { selector: '[data-testid=weaning]', text: 'trade convention, no paper found' });
    await weaning.getByLabel('from', { exact: true }).fill(wall(48));
    await fitsAndIsNamed();
    await weaning.getByRole('button', { name: 'Save' }).click();
    await untilSays(page, { selector: '[data-testid=weaning-verdict]', text: 'Weaning has not begun.' });
    await untilSays(page, { selector: '[data-testid=weaning]', text: 'Tug test: none yet' });
    await fitsAndIsNamed();
    await undo();
    await untilSays(page, { selector: '[data-testid=weaning]', text: 'No plan yet.' });
  });

  test('its place shows where on the bench it stands', async () => {
    await page.goto(`${daemon.httpUrl}/#/place/bench-1`);
    await untilSays(page, { selector: '[data-testid=bench-plan]', text: 'B3–C4: Geranium, here since' });
    const taken = page.locator('.bench-plan td.taken');
    expect(await taken.allTextContents()).toEqual(['Geranium', 'Geranium', 'Geranium', 'Geranium']);
    await fitsAndIsNamed();
  });
});
