import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, onTestFinished, test } from 'vitest';
import { z } from 'zod';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { launchBrowser } from '../support/browser.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { connectPublisher, type Publisher } from '../support/mqttPublisher.ts';
import { held, packOf } from '../support/packs.ts';
import { nameless, openPage, stickingOut, untilSays } from '../support/page.ts';

const MINUTE_MS = 60_000;
const DAY_MS = 24 * 60 * MINUTE_MS;
const NOW_MS = Math.floor(Date.now() / MINUTE_MS) * MINUTE_MS;
const wall = (atMs: number) => new Date(atMs).toISOString().slice(0, 16);

let browser: Browser;
let daemon: Daemon;
let device: Publisher;

/** A reading a minute of the root probe and of the air, from so many minutes ago to so many. */
async function report({ rootC, from, to }: { rootC: number; from: number; to: number }): Promise<void> {
  const minutes = { fromMs: NOW_MS - from * MINUTE_MS, toMs: NOW_MS - to * MINUTE_MS, everyMs: MINUTE_MS };
  const root = held({ probe: 'root/temperature', unit: 'Cel', value: rootC, ...minutes });
  const air = held({ probe: 'air/temperature', unit: 'Cel', value: 20, ...minutes });
  const humidity = held({ probe: 'air/humidity', unit: '%RH', value: 80, ...minutes });
  await device.publish({ topic: readingsTopic('bench-1'), payload: packOf([...root, ...air, ...humidity]) });
}

beforeAll(async () => {
  browser = await launchBrowser();
  daemon = await startDaemon({ settings: { STRIKEWELL_TIME_ZONE: 'UTC' } });
  device = await connectPublisher({ url: daemon.mqttUrl });
  await report({ rootC: 22, from: 120, to: 31 });
});
afterAll(async () => {
  await device.close();
  await browser.close();
  await daemon.close();
});

async function pageAt(widthPx: number) {
  const opened = await openPage(browser, { url: `${daemon.httpUrl}/#/probes`, widthPx });
  onTestFinished(() => opened.close());
  return opened;
}

const answerSchema = z.looseObject({
  probes: z.array(
    z.looseObject({
      probeId: z.number(),
      due: z.string().nullable(),
      told: z.looseObject({ value: z.number(), corrected: z.number() }).nullable(),
      corrections: z.array(z.looseObject({ offset: z.number(), withdrawnMs: z.number().nullable() })),
    }),
  ),
});
const rootOf = async () => {
  const { probes } = await daemon.read('/api/v1/checks', answerSchema);
  return probes.find(({ probeId }) => probeId === 1);
};

test('an ice point check is led from choosing the probe to a correction of −1.2 K, which can be withdrawn', async () => {
  const { page, complaints } = await pageAt(1024);
  await untilSays(page, { selector: '[data-testid=checks-due]', text: 'No probe was checked yet' });
  await page.getByText('Check a probe', { exact: true }).click();
  await page.getByLabel('probe', { exact: true }).selectOption({ label: 'bench-1/root/temperature' });
  await page.getByLabel('in melting ice').check();
  await page.getByRole('button', { name: 'Begin this check' }).click();

  const run = page.getByTestId('check-run');
  await run.getByText('Crush ice').waitFor();
  expect(await run.textContent()).toContain('Only a sealed probe goes in bare');
  await run.getByLabel('it is there already').check();
  await run.getByLabel('since').fill(wall(NOW_MS - 26 * MINUTE_MS));
  await run.getByRole('button', { name: 'Judge its readings' }).click();
  await untilSays(page, { selector: '[data-testid=rest]', text: 'Not at rest yet.' });

  await report({ rootC: 1.2, from: 25, to: 14 });
  // 26 − 14 = 12 of the 20 min it must be there
  await untilSays(page, { selector: '[data-testid=check-run]', text: 'there for 12 min of 20 min' });
  expect(await run.getByRole('button', { name: 'Take it once it is at rest' }).isDisabled()).toBe(true);

  await report({ rootC: 1.2, from: 13, to: 0 });
  await untilSays(page, { selector: '[data-testid=rest]', text: 'At rest.' });
  await run.getByRole('button', { name: 'Take 1.2 °C' }).click();
  await untilSays(page, {
    selector: '[data-testid=taken]',
    text: /It read 1\.2.*right is 0\.0.*1\.2.*too high/,
  });
  await untilSays(page, {
    selector: '[data-testid=check-result]',
    text: /The probe is off.*takes off 1\.20/,
  });
  await run.getByRole('button', { name: 'Apply this correction' }).click();
  await run.getByText('From now on: takes off').waitFor();
  await run.getByRole('button', { name: 'Done' }).click();

  await page.getByTestId('truth-1').locator('summary').first().click();
  await untilSays(page, { selector: '[data-testid=truth-1]', text: /in force.*takes off 1\.20/ });
  const corrected = await rootOf();
  expect(corrected?.corrections).toMatchObject([{ offset: -1.2, withdrawnMs: null }]);
  // half a year, 182 days, from the minute the check ended in
  const dueInDays = (Date.parse(corrected?.due ?? '') - Date.now()) / DAY_MS;
  expect(dueInDays).toBeGreaterThan(181.9);
  expect(dueInDays).toBeLessThan(182.1);

  await page.getByTestId('truth-1').getByRole('button', { name: 'Withdraw it' }).click();
  await page.getByTestId('truth-1').getByRole('button', { name: 'Put it back' }).waitFor();
  expect((await rootOf())?.corrections[0]?.withdrawnMs).not.toBeNull();
  await page.getByTestId('truth-1').getByRole('button', { name: 'Put it back' }).click();
  await page.getByTestId('truth-1').getByRole('button', { name: 'Withdraw it' }).waitFor();
  await page.goto(`${daemon.httpUrl}/#/place/bench-1`);
  await untilSays(page, { selector: '[data-testid=check-note]', text: /root\/temperature: takes off 1\.20/ });
  expect(complaints()).toEqual([]);
});

test('at 360 px, in the dark, a check over salts shows its cautions, nothing sticks out, and all has a name', async () => {
  const opened = await openPage(browser, {
    url: `${daemon.httpUrl}/#/probes`,
    widthPx: 360,
    colorScheme: 'dark',
  });
  onTestFinished(() => opened.close());
  const { page } = opened;
  await page.getByText('Check a probe', { exact: true }).click();
  await page.getByLabel('probe', { exact: true }).selectOption({ label: 'bench-1/air/humidity' });
  expect(await stickingOut(page)).toEqual([]);
  await page.getByRole('button', { name: 'Begin this check' }).click();
  const run = page.getByTestId('check-run');
  await run.getByText('Over magnesium chloride').waitFor();
  expect(await run.textContent()).toContain('step 1 of 2');
  expect(await run.textContent()).toContain('mains, plugs, boards and open joints stay away');
  await run.getByRole('button', { name: 'It is there: begin' }).click();
  await untilSays(page, { selector: '[data-testid=rest]', text: 'Not at rest yet.' });
  await page.getByTestId('truth-2').locator('summary').first().click();
  await page.getByTestId('truth-2').getByText('Correct it by hand').click();
  expect(await stickingOut(page)).toEqual([]);
  expect((await nameless(page)).without).toEqual([]);
  await run.getByRole('button', { name: 'Give this check up…' }).click();
  await run.getByRole('button', { name: 'Yes, give this check up' }).click();
  await run.waitFor({ state: 'detached' });
});
