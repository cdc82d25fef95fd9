import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, onTestFinished, test } from 'vitest';
import { morningZone, nightBenches, reportBenches } from '../support/benches.ts';
import { launchBrowser } from '../support/browser.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { nameless, openPage, type PageOptions, stickingOut, tabTo, untilSays } from '../support/page.ts';

const SCREEN = { widthPx: 1920, heightPx: 1080 };
const PHONE = { widthPx: 360, heightPx: 740 };

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

async function pageAt(hash: string, options: Partial<PageOptions> = {}, of = daemon) {
  const opened = await openPage(browser, { url: `${of.httpUrl}/${hash}`, ...options });
  onTestFinished(() => opened.close());
  return opened;
}

/** What is cut, too small to be read from 5 m, or over something else, on a screen of 1920 × 1080. */
function faultsOf(page: Page): Promise<string[]> {
  return page.evaluate(() => {
    const wall = document.querySelector('.wall');
    if (!wall) return ['no wall'];
    const seen = [...wall.querySelectorAll<HTMLElement>('*')].filter(
      (one) =>
        one.closest('.unseen, svg, .wall-ways') === null &&
        [...one.childNodes].some((node) => node.nodeType === 3 && node.textContent?.trim()),
    );
    const small = seen
      .filter((one) => Number.parseFloat(getComputedStyle(one).fontSize) < 36)
      .map((one) => `small: ${one.textContent}`);
    const parts = ['.wall > header', '.giant', '.wall-others', '.wall-zones section'].flatMap((css) => [
      ...wall.querySelectorAll(css),
    ]);
    const outside = parts
      .filter((one) => one.getBoundingClientRect().bottom > innerHeight + 1)
      .map((one) => `below the screen: ${one.textContent}`);
    const over = parts.flatMap((one, i) =>
      parts.slice(i + 1).flatMap((other) => {
        const [a, b] = [one.getBoundingClientRect(), other.getBoundingClientRect()];
        const [w, h] = [
          Math.min(a.right, b.right) - Math.max(a.left, b.left),
          Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top),
        ];
        return w > 1 && h > 1 ? [`${one.className} over ${other.className}`] : [];
      }),
    );
    const cut = [...wall.querySelectorAll('.giant')]
      .filter((one) => [...one.children].some((child) => child.scrollHeight > one.clientHeight + 1))
      .map((one) => `cut: ${one.textContent}`);
    const scrolls = wall.scrollHeight > wall.clientHeight ? ['it scrolls'] : [];
    return [...small, ...outside, ...over, ...cut, ...scrolls];
  });
}

test('the benches lead to the wall: one sentence, the worst as giant numbers with one order each, 24 places by zone, no request for a single place; Escape leads back', async () => {
  const { page, complaints } = await pageAt('#/', SCREEN);
  await page.getByRole('link', { name: 'Wall view' }).click();
  await page.getByTestId('wall-place').nth(23).waitFor();
  await untilSays(page, { selector: '.giant[data-place=bench-18] .what', text: '31.0 °C' });
  await untilSays(page, { selector: '.giant[data-place=bench-18] .order', text: /^Shade it (first|now)/ });
  expect(await page.locator('.giant').first().getAttribute('data-place')).toBe('bench-18');
  await untilSays(page, { selector: '.wall h1', text: /needs? somebody now/ });
  expect(await page.locator('.wall-zones h2').allTextContents()).toEqual([
    'Back tunnel',
    'North house',
    'South house',
  ]);
  expect(await page.locator('.page-head, .page-foot').count()).toBe(0);
  expect(await faultsOf(page)).toEqual([]);
  expect((await nameless(page)).without).toEqual([]);
  const asked: string[] = [];
  page.on('request', (request) => asked.push(new URL(request.url()).pathname));
  await page.goto(`${daemon.httpUrl}/#/wall`);
  await page.reload();
  await page.getByTestId('wall-place').nth(23).waitFor();
  expect(asked.filter((path) => path.startsWith('/api/v1/places/'))).toEqual([]);
  await page.keyboard.press('Escape');
  await page.getByTestId('bench-line').first().waitFor();
  expect(complaints()).toEqual([]);
});

const STORIES = [
  ['bad', (i: number) => (i < 12 ? 29 + i / 8 : 15.5)],
  ['quiet', () => 15.5],
] as const;

test.each(STORIES)(
  'a %s night fits the wall without overlap, by day and dimmed at night',
  async (story, airOf) => {
    const benches = nightBenches().map((bench, i) => ({
      ...bench,
      at: (ago: number) => ({ air: ago < 2 ? airOf(i) : 15.5, root: 22.5 }),
    }));
    const other = await startDaemon({ settings: { STRIKEWELL_TIME_ZONE: morningZone(Date.now()) } });
    onTestFinished(() => other.close());
    await reportBenches(other, benches);
    const { page } = await pageAt('#/wall', { ...SCREEN, colorScheme: 'dark' }, other);
    await page.getByTestId('wall-place').nth(23).waitFor();
    if (story === 'bad') await page.locator('.wall-strip').first().waitFor();
    expect(await faultsOf(page)).toEqual([]);
    // at night by their targets: bench 1 to 24 have day from 06:00 to 20:00
    const night = { dayStart: '00:00', nightStart: '00:01' };
    for (const { id } of benches) {
      const { body } = await other.get(`/api/v1/places/${id}/targets`);
      await other.put(`/api/v1/places/${id}/targets`, { ...Object(body), ...night });
    }
    const isDim = page.locator('.wall.dim');
    if (story === 'quiet') await isDim.waitFor();
    // what needs somebody stays bright
    else expect(await isDim.count()).toBe(0);
    expect(await faultsOf(page)).toEqual([]);
  },
);

test('24 benches fit a screen of 1920 × 1080: the worst as cards, the others as lines that unfold; their filter stands in the address and keeps the focus', async () => {
  const { page } = await pageAt('#/', SCREEN);
  const lines = page.getByTestId('bench-line');
  await lines.nth(23).waitFor();
  const bottoms = await lines.evaluateAll((all) => all.map((one) => one.getBoundingClientRect().bottom));
  expect(Math.max(...bottoms)).toBeLessThanOrEqual(1080);
  expect(await page.locator('.bench-line.brief').count()).toBe(3);
  expect(await lines.first().getAttribute('data-place')).toBe('bench-18');
  await page.getByLabel('zone').selectOption('North house');
  await page.waitForFunction(() => location.hash === '#/?zone=North+house');
  await lines.nth(8).waitFor({ state: 'detached' });
  expect(await page.evaluate(() => document.activeElement?.tagName)).toBe('SELECT');
  await page.reload();
  await untilSays(page, { selector: '.bench-filter [role=status]', text: '8 of 24 shown' });
  await page.getByRole('link', { name: 'Show all' }).click();
  await lines.nth(23).waitFor();
});

test('on a phone each of 24 benches is a line that a key unfolds, and the pages fold into a menu of one line', async () => {
  const { page, complaints } = await pageAt('#/', PHONE);
  const lines = page.getByTestId('bench-line');
  await lines.nth(23).waitFor();
  const heights = await lines.evaluateAll((all) => all.map((one) => one.getBoundingClientRect().height));
  expect(Math.min(...heights)).toBeGreaterThanOrEqual(44);
  expect(Math.max(...heights)).toBeLessThanOrEqual(80);
  expect(await stickingOut(page)).toEqual([]);
  await tabTo(page, { selector: '[data-place=bench-18] h2 button' });
  await page.keyboard.press('Enter');
  await page.locator('[data-place=bench-18] [data-testid=place-card] [data-testid=alarm-block]').waitFor();
  expect(await stickingOut(page)).toEqual([]);
  const head = await page.locator('.page-head').boundingBox();
  expect(head?.height).toBeLessThanOrEqual(64);
  const menu = page.locator('.unfold-pages');
  await menu.focus();
  await page.keyboard.press('Enter');
  expect(await menu.getAttribute('aria-expanded')).toBe('true');
  await page.getByRole('link', { name: 'People' }).waitFor();
  await page.keyboard.press('Escape');
  expect(await page.getByRole('link', { name: 'People' }).count()).toBe(0);
  expect(await menu.evaluate((one) => one === document.activeElement)).toBe(true);
  await page.keyboard.press('Enter');
  await tabTo(page, { selector: 'a[href="#/people"]' });
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => document.querySelector('main h1')?.textContent === 'People');
  expect(await page.locator('.page-links.open').count()).toBe(0);
  expect(complaints()).toEqual([]);
});

test('of the probes of 24 benches each place is one line at 360 px, and each probe stands once', async () => {
  const { page } = await pageAt('#/probes', PHONE);
  await page.locator('.probe-places summary').nth(23).waitFor();
  const { height, names } = await page.evaluate(() => ({
    height: document.documentElement.scrollHeight,
    names: [...document.querySelectorAll('.probe-places tbody th')].map((one) => one.textContent),
  }));
  expect(height).toBeLessThan(4_000);
  expect(names).toHaveLength(72);
  expect(new Set(names).size).toBe(72);
  expect(await stickingOut(page)).toEqual([]);
});

test('three benches get a zone in one go: shown from what to what, changed at once, undone, the focus at the result', async () => {
  const { page, complaints } = await pageAt('#/several', PHONE);
  const zoneOf = async (id: string) => {
    const { body } = await daemon.get(`/api/v1/places/${id}`);
    return Object(body).settings.zone;
  };
  for (const number of [1, 2, 3]) await page.getByLabel(`Bench ${number}`, { exact: true }).check();
  await page.getByRole('combobox', { name: 'Zone' }).fill('Propagation');
  const plan = page.getByTestId('several-plan');
  await untilSays(page, {
    selector: '[data-testid=several-plan] tr',
    text: /Bench 2.*North house.*→ Propagation/,
  });
  expect(await plan.locator('tbody tr').count()).toBe(3);
  expect(await stickingOut(page)).toEqual([]);
  await page.getByRole('button', { name: 'Change 3 places' }).click();
  await untilSays(page, { selector: '[data-testid=undo]', text: '3 places changed.' });
  expect(await zoneOf('bench-3')).toBe('Propagation');
  expect(await page.evaluate(() => document.activeElement?.contains(document.querySelector('.undo')))).toBe(
    true,
  );
  expect(await page.evaluate(() => document.activeElement === document.body)).toBe(false);
  await page.getByRole('button', { name: 'Undo' }).click();
  await page.getByRole('button', { name: 'Undo' }).waitFor({ state: 'detached' });
  expect(await zoneOf('bench-3')).toBe('North house');
  expect(complaints()).toEqual([]);
});

test('once the daemon is gone the wall says so and for how long, and no number looks live', async () => {
  const { page } = await pageAt('#/wall', SCREEN);
  await page.locator('.giant[data-place=bench-18]').waitFor();
  await daemon.kill();
  await untilSays(page, {
    selector: '.wall h1',
    text: /^Not connected for \d+ (s|min)\. This is how it was at/,
  });
  await page.locator('.wall.old').waitFor();
  const values = await page.getByTestId('wall-value').allTextContents();
  expect(values.length).toBeGreaterThan(0);
  for (const text of values) expect(text).toMatch(/^was /);
  expect(await page.getByTestId('wall-place').count()).toBe(24);
  expect(await faultsOf(page)).toEqual([]);
  await daemon.start();
});
