import { z } from 'zod';
import type { Figure } from './figure.ts';
import { inChild } from './in-child.ts';
import type { Sizes } from './sizes.ts';

const inParts = z.object({ wholeMs: z.number(), longestMs: z.number() });
const tookSchema = z.object({
  learning: inParts,
  minuteMs: z.number(),
  worstMinuteMs: z.number(),
  past: inParts,
  isKnown: z.boolean(),
});

const MINUTES_A_DAY = 1_440;
/** What a place may cost a minute, ms. */
const MOST_MS = 5;

/** What forecasts and early notices of a place cost: each minute, each midnight, and when they are asked of the past. */
export async function forecastOfAPlace(sizes: Sizes): Promise<Figure[]> {
  const order = {
    days: sizes.forecastDays,
    everyMs: 60_000,
    minutes: sizes.forecastMinutes,
    seed: sizes.seed,
  };
  const { learning, minuteMs, worstMinuteMs, past, isKnown } = await inChild(
    'forecast-days.ts',
    order,
    tookSchema,
  );
  const name = `forecasts of a place of 7 probes at 60 s with ${sizes.forecastDays} days on record`;
  const limit = { name: 'what it may cost', value: MOST_MS };
  const spread = minuteMs + learning.wholeMs / MINUTES_A_DAY;
  const note = isKnown ? {} : { note: 'too few days: nothing was forecast' };
  return [
    {
      name: `${name}, a minute, with its part of what is learned each midnight`,
      value: spread,
      unit: 'ms',
      of: limit,
      ...note,
    },
    { name: `${name}, a minute at worst`, value: worstMinuteMs, unit: 'ms', of: limit, ...note },
    part(`${name}, learning`, learning),
    part(`${name}, a question about the past`, past),
  ];
}

/** The longest time for which nothing else had a turn, of the whole. */
function part(name: string, { wholeMs, longestMs }: z.infer<typeof inParts>): Figure {
  return {
    name: `${name}, longest part`,
    value: longestMs,
    unit: 'ms',
    of: { name: 'all of it', value: wholeMs },
  };
}
