import { backupWhileWriting } from './backup.ts';
import { callLatency } from './call-latency.ts';
import { climateFormulas, exposureIntegration } from './climate.ts';
import { placeExposures } from './exposures.ts';
import type { Figure } from './figure.ts';
import { forecastOfAPlace } from './forecast.ts';
import { embeddedIngest, outsideIngest } from './ingest.ts';
import { publishToPage } from './latency.ts';
import { memoryOverADay } from './memory.ts';
import { page } from './page/page.ts';
import { pastOfAMonth } from './past.ts';
import { recordDay, sealing } from './record.ts';
import { restoreOfLarge } from './restore.ts';
import type { Sizes } from './sizes.ts';
import { soak } from './soak.ts';
import { startWithDemo } from './start.ts';
import { yearOfOneProbe } from './year/year.ts';

const MEASUREMENTS = {
  embeddedIngest,
  outsideIngest,
  publishToPage,
  callLatency,
  placeExposures,
  startWithDemo,
  climateFormulas,
  exposureIntegration,
  recordDay,
  sealing,
  yearOfOneProbe,
  memoryOverADay,
  backupWhileWriting,
  restoreOfLarge,
  pastOfAMonth,
  forecastOfAPlace,
  page,
  soak,
};

/**
 * Measures all that is measured, one after the other.
 *
 * @param sizes how much of everything
 * @param wanted names of the measurements; all when none is given
 */
export async function* measure(sizes: Sizes, wanted: readonly string[] = []): AsyncGenerator<Figure> {
  for (const [name, measurement] of Object.entries(MEASUREMENTS)) {
    if (wanted.length > 0 && !wanted.includes(name)) continue;
    yield* await measurement(sizes);
  }
}
