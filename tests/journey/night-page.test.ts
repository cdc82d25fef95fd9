import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, onTestFinished, test } from 'vitest';
import { morningZone, nightBenches, reportBenches } from '../support/benches.ts';
import { launchBrowser } from '../support/browser.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { nameless, openPage, type PageOptions, stickingOut, tabTo, untilSays } from '../support/page.ts';

let browser: Browser;
let daemon: Daemon;

beforeAll(async () => {
  browser = await launchBrowser();
  daemon = await startDaemon({ settings: { STRIKEWELL_TIME_ZONE: morningZone(Date.now()) } });
  await reportBenches(daemon, nightBenches());
}, 60_000);
afterAll(async () => {
  await browser.close();
  await daemon.close();
});

async function nightAt(options: Partial<PageOptions> = {}) {
  const opened = await openPage(browser, { url: `${daemon.httpUrl}/#/night`, ...options });
  onTestFinished(() => opened.close());
  await opened.page.getByTestId('night-row').nth(23).waitFor();
  return opened;
}

const rowsOf = (page: Page) =>
  page.getByTestId('night-row').evaluateAll((rows) =>
    rows.map((row) => {
      const { height, bottom } = row.getBoundingClientRect();
      return { place: row.getAttribute('data-place'), marks: row.className, height, bottom };
    }),
  );

test('24 benches fit a screen of 1920 × 1080, worst first, those that did well 24 px high, with one request for all strips', async () => {
  const asked: string[] = [];
  const { page, complaints } = await nightAt({ widthPx: 1920, heightPx: 1080 });
  page.on('request', (request) => asked.push(new URL(request.url()).pathname));
  await page.reload();
  await page.getByTestId('night-row').nth(23).waitFor();
  const rows = await rowsOf(page);
  expect(rows).toHaveLength(24);
  expect(rows.slice(0, 2).map(({ place }) => place)).toEqual(
    expect.arrayContaining(['bench-18', 'bench-14']),
  );
  expect(rows.filter(({ marks }) => marks.includes(' full'))).toHaveLength(3);
  const fine = rows.filter(({ marks }) => marks.includes('fine'));
  expect(fine).toHaveLength(19);
  for (const { height } of fine) expect(height).toBeLessThanOrEqual(26);
  expect(Math.max(...rows.map(({ bottom }) => bottom))).toBeLessThanOrEqual(1080);
  expect(await stickingOut(page)).toEqual([]);
  expect(asked.filter((path) => path.endsWith('/night'))).toHaveLength(1);
  expect(asked.filter((path) => path.startsWith('/api/v1/places/'))).toEqual([]);
  const { without } = await nameless(page);
  expect(without).toEqual([]);
  expect(complaints()).toEqual([]);
});

test('on a phone each bench is one line of at least 44 px, which a key unfolds to its sentence, its excursions and its alarm', async () => {
  const { page } = await nightAt({ widthPx: 360, heightPx: 740 });
  for (const { height } of await rowsOf(page)) {
    expect(height).toBeGreaterThanOrEqual(44);
    expect(height).toBeLessThanOrEqual(60);
  }
  const hot = page.locator('[data-place=bench-18]');
  await tabTo(page, { selector: '[data-place=bench-18] h3 button' });
  await page.keyboard.press('Enter');
  await hot.getByText(/^Air has been 4\.3 °C over its ceiling for 1 h \d+ min/).waitFor();
  await hot.locator('.excursions').getByText('air over its ceiling').waitFor();
  await hot.getByTestId('alarm-block').getByRole('button', { name: 'Shelve…' }).click();
  // the form to shelve is as wide as a phone allows
  await hot.locator('.shelve select').waitFor();
  expect(await stickingOut(page)).toEqual([]);
});

test('in °F the sentence and the figures are in °F', async () => {
  const { page } = await nightAt();
  await page.evaluate(() => localStorage.setItem('strikewell.unit', 'F'));
  await page.reload();
  await untilSays(page, { selector: '[data-place=bench-18]', text: /Air has been 7\.7 °F over its ceiling/ });
  await untilSays(page, { selector: '[data-place=bench-18] .peak', text: '87.8 °F' });
});

test('the night before is empty and says so; its address leads there again, and back', async () => {
  const { page } = await nightAt();
  await page.getByRole('link', { name: 'The night before' }).click();
  await page.waitForFunction(() => /#\/night\/\d{4}-\d{2}-\d{2}$/.test(location.hash));
  await untilSays(page, { selector: '[data-place=bench-1]', text: 'Nothing was read' });
  await page.getByRole('link', { name: 'last night' }).click();
  await untilSays(page, { selector: '[data-place=bench-1]', text: 'Within its bands throughout.' });
});

test.each([
  ['A4', 718],
  ['Letter', 740],
] as const)(
  'prints on %s without buttons, nothing sticking out, on at most two sheets, each sentence whole',
  async (format, widthPx) => {
    const { page } = await nightAt({ colorScheme: 'dark' });
    const pdf = await page.pdf({ format });
    expect(pdf.toString('latin1').match(/\/Type\s*\/Page\b/g)?.length).toBeLessThanOrEqual(2);
    await page.emulateMedia({ media: 'print' });
    await page.setViewportSize({ width: widthPx, height: 1_000 });
    expect(await stickingOut(page)).toEqual([]);
    const seen = page.locator('button:not(.ask):visible, input:visible, summary:visible, nav:visible');
    // the names of the rows are all that is left of them; numbers that can be asked print as text
    expect(await seen.filter({ hasNotText: /^Bench \d+$/ }).count()).toBe(0);
    // numbers that can be asked on the screen are plain words on paper
    const asked = await page.locator('button.ask:visible').evaluateAll((buttons) =>
      buttons.map((button) => {
        const { borderTopWidth, backgroundColor, display } = getComputedStyle(button);
        return `${display} ${borderTopWidth} ${backgroundColor}`;
      }),
    );
    expect([...new Set(asked)]).toEqual(['inline 0px rgba(0, 0, 0, 0)']);
    expect(await page.locator('[data-place=bench-21] .sentence').isVisible()).toBe(true);
    const ground = await page.evaluate(() => getComputedStyle(document.body).backgroundColor);
    expect(ground).toBe('rgb(255, 255, 255)');
  },
);

test('on the page of a place at 360 px every number is a target of 24 px, and its record leads to an export', async () => {
  const { page } = await openPage(browser, { url: `${daemon.httpUrl}/#/place/bench-18`, widthPx: 360 });
  const link = page.getByRole('link', { name: 'readings (CSV)' });
  await link.waitFor();
  const numbers = page.locator('button.ask:visible');
  await numbers.nth(5).waitFor();
  const heights = await numbers.evaluateAll((buttons) =>
    buttons.map((button) => button.getBoundingClientRect().height),
  );
  expect(heights.length).toBeGreaterThan(5);
  expect(Math.min(...heights)).toBeGreaterThanOrEqual(24);
  const file = await fetch(new URL((await link.getAttribute('href')) ?? '', daemon.httpUrl));
  expect(file.status).toBe(200);
  expect(await file.text()).toContain('bench-18/air/temperature [°C]');
  await page.context().close();
});

test('while the daemon is away the page keeps the night and says how old it is', async () => {
  const { page } = await nightAt();
  await daemon.kill();
  await untilSays(page, { selector: '.night-age', text: /^As it was \d+ (s|min) ago/, withinMs: 40_000 });
  expect(await page.getByTestId('night-row').count()).toBe(24);
  await daemon.start();
});
