import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, onTestFinished, test } from 'vitest';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { nightBenches, reportBenches } from '../support/benches.ts';
import { launchBrowser } from '../support/browser.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { connectPublisher } from '../support/mqttPublisher.ts';
import { nameless, openPage, stickingOut } from '../support/page.ts';

const PAGES = [
  '',
  'night',
  'place/bench-18',
  'batches',
  'start',
  'alarms',
  'people',
  'probes',
  'devices',
  'system',
  'watch',
  'other',
  'archived',
  'sheets',
  'sheets/poinsettia',
] as const;
const WIDTHS_PX = [360, 1024, 1920] as const;
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
      if (!scrolls || box.matches(takesFocus) || box.querySelector(takesFocus)) return [];
      return [`${box.tagName} ${box.className}: ${box.textContent?.slice(0, 40)}`];
    });
  });
}

/** Goes to a page and waits until what it asks for has come. */
async function goTo(page: Page, address: string): Promise<void> {
  await page.evaluate((hash) => {
    location.hash = hash;
  }, `#/${address}`);
  await page.waitForLoadState('networkidle');
}

async function open(widthPx: number, address = '') {
  const opened = await openPage(browser, { url: `${daemon.httpUrl}/#/${address}`, widthPx });
  onTestFinished(() => opened.close());
  return opened;
}

test.each(WIDTHS_PX)(
  'at %i px no page sticks out, has a control without a name, or a box that scrolls and no key reaches',
  async (widthPx) => {
    const { page, complaints } = await open(widthPx);
    for (const address of PAGES) {
      await goTo(page, address);
      expect(await stickingOut(page), address).toEqual([]);
      expect(await unreachable(page), address).toEqual([]);
      expect((await nameless(page)).without, address).toEqual([]);
    }
    expect(complaints()).toEqual([]);
  },
);

test('a message that is too wide or too long for its box on Live messages is reached by keys, with a name', async () => {
  const { page } = await open(360, 'watch');
  const device = await connectPublisher({ url: daemon.mqttUrl });
  onTestFinished(() => device.close());
  const heard = page.locator('[data-testid=heard]');
  const records = Array.from({ length: 60 }, (_, i) => ({ n: `air/temperature/${i + 1}`, u: 'Cel', v: 20 }));
  await page.waitForLoadState('networkidle');
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
