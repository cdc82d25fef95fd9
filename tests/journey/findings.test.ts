import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, onTestFinished, test } from 'vitest';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { launchBrowser } from '../support/browser.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { connectPublisher } from '../support/mqttPublisher.ts';
import { held, packOf } from '../support/packs.ts';
import { openPage, stickingOut } from '../support/page.ts';

const MINUTE_MS = 60_000;
let browser: Browser;
let daemon: Daemon;

beforeAll(async () => {
  browser = await launchBrowser();
  daemon = await startDaemon({ settings: { STRIKEWELL_TIME_ZONE: 'UTC' } });
  const device = await connectPublisher({ url: daemon.mqttUrl });
  const nowMs = Math.floor(Date.now() / 1000) * 1000;
  const hours = { fromMs: nowMs - 120 * MINUTE_MS, toMs: nowMs, everyMs: 5 * MINUTE_MS };
  const root = held({ probe: 'root/temperature', unit: 'Cel', value: 22.5, ...hours });
  const air = held({ probe: 'air/temperature', unit: 'Cel', value: 20, ...hours });
  const points = root.map((point, i) => (i === 12 ? { ...point, value: 85 } : point));
  await device.publish({ topic: readingsTopic('bench-1'), payload: packOf([...points, ...air]) });
  await device.close();
});
afterAll(async () => {
  await browser.close();
  await daemon.close();
});

async function pageAt(hash: string, widthPx: number) {
  const opened = await openPage(browser, { url: `${daemon.httpUrl}/${hash}`, widthPx });
  onTestFinished(() => opened.close());
  return opened.page;
}

test.each([
  ['#/probes', 360],
  ['#/place/bench-1', 360],
  ['#/place/bench-1', 1200],
])(
  '%s at %d px says what an 85.0 °C was, that it is left out, and what to do, and nothing sticks out',
  async (hash, width) => {
    const page = await pageAt(hash, width);
    const finding = page.getByTestId('finding');
    await finding.waitFor();
    const said = await finding.textContent();
    expect(said).toContain('bench-1/root/temperature: power-up value, since');
    expect(said).toContain('Once it read exactly 85.0 °C');
    expect(said).toContain('left out of exposures');
    expect(said).toContain('Look at its plug and supply');
    expect(await page.getByTestId('findings').textContent()).toContain('One probe is suspect now.');
    expect(await stickingOut(page)).toEqual([]);
  },
);

test('the record of the place draws no 85 °C, says that 1 reading is kept but not drawn, and counts at most 22.5 °C', async () => {
  const page = await pageAt('#/place/bench-1', 1200);
  await page.getByTestId('left-out').waitFor();
  expect(await page.getByTestId('left-out').textContent()).toContain('1 reading is kept but not drawn');
  const span = new URLSearchParams({
    from: new Date(Date.now() - 3 * 3_600_000).toISOString(),
    to: new Date().toISOString(),
  });
  const answer = await fetch(`${daemon.httpUrl}/api/v1/places/bench-1/exposures?${span}`);
  expect(await answer.json()).toMatchObject({ rootZone: { maxC: 22.5, minC: 22.5 } });
});
