import { isDeepStrictEqual } from 'node:util';
import { z } from 'zod';
import { exposureQuestion } from '../../../server/daemon/world/records.ts';
import { exposuresOver } from '../../../server/daemon/world/settled-exposures.ts';
import { decodeBlockInto, encodeBlock } from '../../../server/domain/seal/block.ts';
import type { ProbeTimes } from '../../../server/ports.ts';
import { exposuresOf } from '../../support/exposures-of.ts';
import { quantile } from '../figure.ts';
import { answer } from '../in-child.ts';
import { STEP_MS } from '../workload.ts';
import { DAY_MS, openYear, placeOf, YEAR_START_MS } from './place.ts';

/** Questions to the record of a year, asked again and again of one process. */
const orderSchema = z.object({ file: z.string(), days: z.number(), rounds: z.number() });
const READINGS_AN_HOUR = 3_600_000 / STEP_MS;

await answer(orderSchema, ({ file, days, rounds }) => {
  const opened = openYear(file, days);
  const { store, context } = opened;
  const place = placeOf(opened);
  const year = { fromMs: YEAR_START_MS, toMs: YEAR_START_MS + days * DAY_MS };
  const exposuresMs = medianMs(rounds, () => exposuresOver(place, year, context));
  const record = () => store.journal.window({ probeIds: [1], ...year })[0] as ProbeTimes;
  const readMs = medianMs(rounds, record);
  const whole = record();
  const blocks = blocksOf(whole);
  const room = {
    timesMs: new Float64Array(whole.timesMs.length),
    values: new Float64Array(whole.values.length),
  };
  const decodeMs = medianMs(rounds, () => {
    let at = 0;
    for (const block of blocks) at = decodeBlockInto(block, { ...room, at });
  });
  // the month in the middle: its edges are not those of the record
  const middleMs = YEAR_START_MS + Math.floor(days / 2) * DAY_MS;
  const month = { fromMs: middleMs, toMs: Math.min(year.toMs, middleMs + 31 * DAY_MS) };
  const startMs = performance.now();
  const counted = exposuresOf(exposureQuestion(place, month, context));
  const countedMs = performance.now() - startMs;
  const settled = exposuresOver(place, month, context);
  return {
    exposuresMs,
    readMs,
    decodeMs,
    countedMs,
    readings: whole.timesMs.length,
    monthDays: (month.toMs - month.fromMs) / DAY_MS,
    monthSettledMs: medianMs(rounds, () => exposuresOver(place, month, context)),
    equal: isDeepStrictEqual(counted, settled) && isDeepStrictEqual(room.values, whole.values),
  };
});

function blocksOf({ timesMs, values }: ProbeTimes): Uint8Array[] {
  const hours = Math.ceil(timesMs.length / READINGS_AN_HOUR);
  return Array.from({ length: hours }, (_, hour) => {
    const [start, end] = [hour * READINGS_AN_HOUR, (hour + 1) * READINGS_AN_HOUR];
    return encodeBlock({ timesMs: timesMs.subarray(start, end), values: values.subarray(start, end) });
  });
}

function medianMs(rounds: number, work: () => unknown): number {
  const tookMs: number[] = [];
  for (let round = 0; round <= rounds; round += 1) {
    const startMs = performance.now();
    work();
    // the first round warms up
    if (round > 0) tookMs.push(performance.now() - startMs);
  }
  return quantile(tookMs, 0.5);
}
