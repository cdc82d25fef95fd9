import type { Figure } from '../figure.ts';
import type { PageAsked } from './loads.ts';

const QUIET_MS = 1_000;

/** From the last byte of a season's data to the last stroke of its chart. */
export async function seasonChart({ browser, wire, sizes }: PageAsked, placeId: string): Promise<Figure[]> {
  const context = await browser.newContext({
    viewport: { width: 1920, height: 1080 },
    serviceWorkers: 'block',
  });
  const page = await context.newPage();
  await page.addInitScript(() => {
    const { stroke } = CanvasRenderingContext2D.prototype;
    CanvasRenderingContext2D.prototype.stroke = function strokeNoted(
      this: CanvasRenderingContext2D,
      ...given
    ) {
      performance.clearMarks('stroke');
      performance.mark('stroke');
      return Reflect.apply(stroke, this, given);
    } as typeof stroke;
  });
  await page.goto(`${wire.url}/#/place/${placeId}`);
  await page.locator('.record canvas').waitFor();
  await wire.quiet(QUIET_MS);
  await page.evaluate(() => performance.clearResourceTimings());
  const answered = page.waitForResponse((response) => response.url().includes('/series?'));
  await page.getByRole('button', { name: 'since the first reading' }).click();
  await answered;
  await wire.quiet(QUIET_MS);
  const tookMs = await page.evaluate(() => {
    const asked = performance.getEntriesByType('resource') as PerformanceResourceTiming[];
    const drawnMs = performance.getEntriesByName('stroke')[0]?.startTime ?? Number.NaN;
    // marks come apart, and draw it again
    const ends = asked
      .filter(({ name }) => /\/(series|bands|diary|alarms|batches)\b/.test(name))
      .map(({ responseEnd }) => responseEnd)
      .filter((endMs) => endMs <= drawnMs);
    return drawnMs - Math.max(...ends);
  });
  await context.close();
  return [{ name: `page, chart of ${sizes.pageSeasonDays} days, after its data`, value: tookMs, unit: 'ms' }];
}
