import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, onTestFinished, test } from 'vitest';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { axeFaults } from '../support/axe.ts';
import { nightBenches, reportBenches } from '../support/benches.ts';
import { launchBrowser } from '../support/browser.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { connectPublisher } from '../support/mqttPublisher.ts';
import { nameless, openPage, stickingOut } from '../support/page.ts';
import { screensOf } from '../support/screens.ts';

const SIZES_PX = [
  { width: 360, height: 780 },
  { width: 1024, height: 768 },
  { width: 1920, height: 1080 },
] as const;
const HOT = 17;

let browser: Browser;
let daemon: Daemon;
beforeAll(async () => {
  [browser, daemon] = await Promise.all([launchBrowser(), startDaemon()]);
  await reportBenches(daemon, nightBenches().slice(HOT - 1, HOT + 1));
});
afterAll(async () => {
  await browser.close();
  await daemon.close();
});

/** Boxes that scroll, and that neither take the focus nor hold anything that does. */
function unreachable(page: Page): Promise<string[]> {
  return page.evaluate(() => {
    const takesFocus = 'a[href], button, input, select, textarea, summary, [tabindex]:not([tabindex="-1"])';
    return [...document.body.querySelectorAll('*')].flatMap((box) => {
      const { overflowX, overflowY } = getComputedStyle(box);
      const scrolls =
        (/auto|scroll/.test(overflowX) && box.scrollWidth > box.clientWidth) ||
        (/auto|scroll/.test(overflowY) && box.scrollHeight > box.clientHeight);
      // what is folded has no size yet that could be known
      if (box.closest('details:not([open])')) return [];
      if (!scrolls || box.matches(takesFocus) || box.querySelector(takesFocus)) return [];
      return [`${box.tagName} ${box.className}: ${box.textContent?.slice(0, 40)}`];
    });
  });
}

/** Goes to a page and waits until what it asks for has come, or cannot. */
async function goTo(page: Page, address: string): Promise<void> {
  await page.evaluate((hash) => {
    location.hash = hash;
  }, `#/${address}`);
  await settled(page);
  const loading = page.locator('main .waiting').filter({ hasText: '…' });
  await expect.poll(() => loading.count(), { timeout: 10_000, message: address }).toBe(0);
}

/** Waits until two frames were drawn, so that what goes by sizes has gone. */
async function settled(page: Page): Promise<void> {
  await page.evaluate(
    () => new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(resolve))),
  );
}

async function open(widthPx: number, address = '') {
  const opened = await openPage(browser, { url: `${daemon.httpUrl}/#/${address}`, widthPx });
  onTestFinished(() => opened.close());
  return opened;
}

test('every page, in both themes at 360, 1024 and 1920 px: WCAG 2.2 AA, nothing sticks out, keys reach what scrolls', async () => {
  const { page, complaints } = await open(360);
  const faults: string[] = [];
  const screens = await screensOf(daemon, ['bench-18', 'bench-17']);
  for (const address of Object.values(screens).flat()) {
    await goTo(page, address);
    for (const size of SIZES_PX) {
      await page.setViewportSize(size);
      await page.emulateMedia({ colorScheme: 'light' });
      await settled(page);
      const found = [
        ...(await stickingOut(page)),
        ...(await unreachable(page)),
        ...(await nameless(page)).without,
        ...(await axeFaults(page)),
      ];
      await page.emulateMedia({ colorScheme: 'dark' });
      // the other theme has other colours, and nothing else
      found.push(...(await axeFaults(page, 'color-contrast')));
      faults.push(...found.map((fault) => `#/${address} at ${size.width} px: ${fault}`));
    }
  }
  expect(faults).toEqual([]);
  expect(complaints()).toEqual([]);
}, 180_000);

test('a message that is too wide or too long for its box on Live messages is reached by keys, with a name', async () => {
  const { page } = await open(360, 'watch');
  const device = await connectPublisher({ url: daemon.mqttUrl });
  onTestFinished(() => device.close());
  const heard = page.locator('[data-testid=heard]');
  const records = Array.from({ length: 60 }, (_, i) => ({ n: `air/temperature/${i + 1}`, u: 'Cel', v: 20 }));
  await settled(page);
  await device.publish({ topic: readingsTopic('many'), payload: JSON.stringify(records) });
  await heard.first().getByText('What was sent').click();
  const box = heard.first().getByRole('region', { name: 'What was sent' });
  await box.focus();
  await page.keyboard.press('End');
  await expect.poll(() => box.evaluate(({ scrollTop }) => scrollTop)).toBeGreaterThan(0);
  expect(await unreachable(page)).toEqual([]);
  // what is looked for is found where it is
  await box.evaluate((element) => element.removeAttribute('tabindex'));
  expect(await unreachable(page)).toHaveLength(1);
});
