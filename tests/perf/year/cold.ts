import { seriesOf } from '../../../server/daemon/readout/series.ts';
import { exposuresOver } from '../../../server/daemon/world/settled-exposures.ts';
import { DAY_MS, openYear, placeOf, YEAR_START_MS } from './place.ts';

/** One question about a place's year, asked of a process that was just started. Plain, to load nothing else. */
const [, , question, file, days] = process.argv;
const startMs = performance.now();
const span = { fromMs: YEAR_START_MS, toMs: YEAR_START_MS + Number(days) * DAY_MS };
const opened = openYear(String(file), Number(days));
const { context } = opened;
const place = placeOf(opened);

const QUESTIONS: Readonly<Record<string, () => object>> = {
  chart: () => ({
    points: seriesOf(place, { ...span, quantity: 'airTemperatureC', points: 1000 }, context).points.length,
  }),
  exposures: () => ({ coveredHours: exposuresOver(place, span, context).air.coveredHours }),
};
const answer = QUESTIONS[String(question)]?.();
const endMs = performance.now();
console.log(JSON.stringify({ ...answer, tookMs: endMs - startMs, processMs: endMs }));
