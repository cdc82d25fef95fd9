import type { Browser, BrowserContext, Page } from 'playwright-core';
import type { Daemon } from '../../support/daemon.ts';
import { type Figure, quantile } from '../figure.ts';
import type { Sizes } from '../sizes.ts';
import { taskMs } from './task-time.ts';
import type { Wire } from './wire.ts';

export type PageAsked = {
  readonly browser: Browser;
  readonly wire: Wire;
  readonly daemon: Daemon;
  readonly ids: readonly string[];
  readonly sizes: Sizes;
};

/** A visit is over once nothing has passed for so long, ms: the worker that keeps the page for offline has its say too. */
const QUIET_MS = 1_500;
const WIDE_SCREEN = { width: 1920, height: 1080 };
const SLOWER = 4;

/** Requests and bytes of a first and a later visit to the benches, and when a slow machine shows them. */
export async function loads({ browser, wire, ids, sizes }: PageAsked): Promise<Figure[]> {
  const context = await browser.newContext({ viewport: WIDE_SCREEN });
  const first = await visit(context, { wire, ids });
  const later = await visit(context, { wire, ids });
  await context.close();
  const shown: Shown[] = [];
  for (let i = 0; i < sizes.pageVisits; i += 1) shown.push(await slowVisit(browser, { wire, ids }));
  const name = `page of ${ids.length} benches`;
  const slow = `${name}, ${SLOWER} × slower`;
  return [
    { name: `${name}, first visit, requests`, value: first.requests.length, unit: 'requests' },
    { name: `${name}, first visit, on the wire`, value: first.kilobytes, unit: 'kB' },
    { name: `${name}, later visit, requests`, value: later.requests.length, unit: 'requests' },
    { name: `${name}, later visit, on the wire`, value: later.kilobytes, unit: 'kB' },
    {
      name: `${slow}, first content, median`,
      value: quantile(
        shown.map(({ firstMs }) => firstMs),
        0.5,
      ),
      unit: 'ms',
    },
    {
      name: `${slow}, all charts, median`,
      value: quantile(
        shown.map(({ chartsMs }) => chartsMs),
        0.5,
      ),
      unit: 'ms',
    },
    {
      name: `${slow}, main thread until all charts, median`,
      value: quantile(
        shown.map(({ busyMs }) => busyMs),
        0.5,
      ),
      unit: 'ms',
      note: 'processor time: other work on the machine does not count',
    },
  ];
}

type Visited = { readonly wire: Wire; readonly ids: readonly string[] };

async function visit(context: BrowserContext, { wire, ids }: Visited) {
  wire.passed();
  const page = await context.newPage();
  await page.goto(wire.url);
  await allCharts(page, ids.length);
  await wire.quiet(QUIET_MS);
  const passed = wire.passed();
  if (process.env['STRIKEWELL_PERF_LIST']) console.error(passed.requests.join('\n'));
  await page.close();
  return passed;
}

/**
 * Whether all benches stand on the page and each chart of it has its line: of many benches the worst have a chart, the
 * others are lines. It runs in the page.
 */
function isDrawn(benches: number): boolean {
  const charts = [...document.querySelectorAll('.layer .trace')];
  const isThere = document.querySelectorAll('[data-testid=bench-line], [data-testid=place-card]').length;
  return (
    isThere >= benches && charts.length > 0 && charts.every((one) => one.querySelector('path.line[d^="M"]'))
  );
}

/** Waits until all that the page shows of the benches is drawn. */
export async function allCharts(page: Page, benches: number): Promise<void> {
  await page.waitForFunction(isDrawn, benches);
}

type Shown = { readonly firstMs: number; readonly chartsMs: number; readonly busyMs: number };

async function slowVisit(browser: Browser, { wire, ids }: Visited): Promise<Shown> {
  const context = await browser.newContext({ viewport: WIDE_SCREEN, serviceWorkers: 'block' });
  const page = await context.newPage();
  const session = await context.newCDPSession(page);
  await session.send('Performance.enable', { timeDomain: 'threadTicks' });
  await session.send('Emulation.setCPUThrottlingRate', { rate: SLOWER });
  await page.addInitScript(`{
    const isDrawn = ${isDrawn};
    const look = () => {
      // it is on the screen by the next frame
      if (isDrawn(${ids.length})) requestAnimationFrame(() => performance.mark('all-charts'));
      else requestAnimationFrame(look);
    };
    requestAnimationFrame(look);
  }`);
  await page.goto(wire.url);
  const chartsMs = await page.waitForFunction(
    () => performance.getEntriesByName('all-charts')[0]?.startTime ?? null,
  );
  const firstMs = await page.evaluate(
    () => performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? Number.NaN,
  );
  const shown = { firstMs, chartsMs: Number(await chartsMs.jsonValue()), busyMs: await taskMs(session) };
  await context.close();
  return shown;
}
