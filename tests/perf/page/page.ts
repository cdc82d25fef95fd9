import { launchBrowser } from '../../support/browser.ts';
import { startDaemon } from '../../support/daemon.ts';
import type { Figure } from '../figure.ts';
import type { Sizes } from '../sizes.ts';
import { slowAnswers } from './answers.ts';
import { loads } from './loads.ts';
import { benchId, reportPast } from './record.ts';
import { seasonChart } from './season.ts';
import { liveUpdate } from './update.ts';
import { wireTo } from './wire.ts';

const SEASON = 'season';

/**
 * What the page of many benches weighs, and how long it takes: requests and bytes at a first and a later visit, first
 * content and all charts on a machine four times slower, a live update, a chart of a season, the slow answers.
 */
export async function page(sizes: Sizes): Promise<Figure[]> {
  const daemon = await startDaemon();
  const browser = await launchBrowser();
  const wire = await wireTo(daemon);
  try {
    const { seed, pageBenches, pageDays, pageEveryMs, pageSeasonDays } = sizes;
    const ids = Array.from({ length: pageBenches }, (_, i) => benchId(i + 1));
    await reportPast(daemon, ids, { days: pageDays, everyMs: pageEveryMs, seed });
    const asked = { browser, wire, daemon, ids, sizes };
    const figures = [...(await loads(asked)), ...(await liveUpdate(asked)), ...(await slowAnswers(asked))];
    const past = { days: pageSeasonDays, everyMs: 600_000, seed };
    await reportPast(daemon, [SEASON], past);
    return [...figures, ...(await seasonChart(asked, SEASON))];
  } finally {
    wire.close();
    await browser.close();
    await daemon.close();
  }
}
