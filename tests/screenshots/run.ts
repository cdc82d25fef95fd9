import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import type { Browser, Page } from 'playwright-core';
import { morningZone, nightBenches, reportBenches } from '../support/benches.ts';
import { launchBrowser } from '../support/browser.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { type Screens, screensOf } from '../support/screens.ts';
import { readyTools } from '../support/tools.js';
import { until } from '../support/wait.ts';

/** Takes a picture of every page at three widths and of the wall, light and dark: `npm run screenshots -- --out DIR`. */

const SIZES_PX = [
  { width: 360, height: 780 },
  { width: 1024, height: 768 },
  { width: 1920, height: 1080 },
] as const;
const THEMES = ['light', 'dark'] as const;
/** Below this a page is cut: nobody looks at more of one picture, px. */
const MOST_PX = 6_000;
const QUIET_MS = 700;
const MOST_MS = 6_000;

const { values } = parseArgs({
  options: {
    out: { type: 'string' },
    /** only these pages, by their names in the routes, commas between */
    only: { type: 'string' },
    width: { type: 'string' },
    theme: { type: 'string' },
  },
});
if (values.out === undefined) {
  console.error('Say where the pictures go: npm run screenshots -- --out DIR');
  process.exit(2);
}
const folder = values.out;
const sizes = SIZES_PX.filter(({ width }) => (values.width ?? `${width}`).split(',').includes(`${width}`));
const themes = THEMES.filter((theme) => (values.theme ?? theme) === theme);

/** The demo beside 24 benches, one too hot and one not reporting, and two people to be notified. */
async function furnish(daemon: Daemon): Promise<Screens> {
  await reportBenches(daemon, nightBenches());
  await daemon.post('/api/v1/demo');
  const done = async () => {
    const { body } = await daemon.get('/api/v1/house');
    const { running, progressPct } = Object(Object(body).demo);
    return running && progressPct === null ? true : null;
  };
  await until(done, { what: 'record of the demo', withinMs: 180_000, everyMs: 500 });
  for (const name of ['Robin', 'Sam']) await daemon.post('/api/v1/people', { name, quiet: null });
  const way = { kind: 'mail', address: 'robin@bench.example' };
  await daemon.post('/api/v1/people/1/ways', way);
  return screensOf(daemon, ['bench-18', 'bench-11']);
}

/** Waits until nothing has been asked for a while, so that charts fetched apart are drawn. */
async function quiet(page: Page): Promise<void> {
  let lastMs = performance.now();
  let open = 0;
  const count = (by: number) => () => {
    open += by;
    lastMs = performance.now();
  };
  const [asked, answered] = [count(1), count(-1)];
  page.on('request', asked);
  page.on('requestfinished', answered);
  page.on('requestfailed', answered);
  const beganMs = performance.now();
  const isOver = () =>
    (open <= 0 && performance.now() - lastMs > QUIET_MS) || performance.now() - beganMs > MOST_MS;
  while (!isOver()) await page.waitForTimeout(50);
  page.off('request', asked);
  page.off('requestfinished', answered);
  page.off('requestfailed', answered);
}

async function goTo(page: Page, address: string): Promise<void> {
  await page.evaluate((hash) => {
    location.hash = hash;
  }, `#/${address}`);
  await page.evaluate(
    () => new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(resolve))),
  );
  const loading = page.locator('main .waiting').filter({ hasText: '…' });
  const loaded = async () => ((await loading.count()) === 0 ? true : null);
  await until(loaded, { what: `page ${address}`, withinMs: 20_000 });
  await quiet(page);
}

async function take(browser: Browser, { httpUrl }: Daemon, addresses: readonly string[]): Promise<number> {
  let taken = 0;
  for (const colorScheme of themes) {
    for (const viewport of sizes) {
      const context = await browser.newContext({ viewport, colorScheme, locale: 'en-GB' });
      const page = await context.newPage();
      await page.goto(httpUrl);
      await page.locator('[data-testid=link-state][data-state=live]').waitFor();
      for (const address of addresses) {
        await goTo(page, address);
        const name =
          address === '' ? 'benches' : address.replace(/[^a-z0-9]+/gi, '-').replace(/^-/, 'benches-');
        const path = join(folder, `${name}-${viewport.width}-${colorScheme}.png`);
        const height = await page.evaluate(() => document.documentElement.scrollHeight);
        const clip = { x: 0, y: 0, width: viewport.width, height: Math.min(height, MOST_PX) };
        await page.screenshot({ path, fullPage: true, clip });
        taken += 1;
      }
      await context.close();
    }
  }
  return taken;
}

Object.assign(process.env, readyTools());
mkdirSync(folder, { recursive: true });
const daemon = await startDaemon({ settings: { STRIKEWELL_TIME_ZONE: morningZone(Date.now()) } });
const browser = await launchBrowser();
try {
  const screens = await furnish(daemon);
  const wanted = values.only?.split(',') ?? Object.keys(screens);
  const addresses = Object.entries(screens).flatMap(([name, some]) => (wanted.includes(name) ? some : []));
  console.log(`${await take(browser, daemon, addresses)} pictures in ${folder}`);
} finally {
  await browser.close();
  await daemon.close();
}
process.exit(0);
