import { z } from 'zod';
import type { Figure } from './figure.ts';
import { inChild } from './in-child.ts';
import type { Sizes } from './sizes.ts';

const triedSchema = z.object({
  tried: z.array(z.object({ rule: z.string(), firstMs: z.number(), moveMs: z.number(), alarms: z.number() })),
});

/** How long a rule takes to be tried on a month of a place: when it is chosen, and at each move of a slider after. */
export async function pastOfAMonth(sizes: Sizes): Promise<Figure[]> {
  const figures: Figure[] = [];
  for (const everyMs of [10_000, 60_000]) {
    const order = { days: sizes.pastDays, everyMs, moves: sizes.pastMoves, seed: sizes.seed };
    const { tried } = await inChild('past-month.ts', order, triedSchema);
    const name = `${sizes.pastDays} days of a place of 7 probes at ${everyMs / 1000} s, tried on the past`;
    for (const { rule, firstMs, moveMs } of tried) {
      figures.push({ name: `${name}, ${rule}, when it is chosen`, value: firstMs, unit: 'ms' });
      figures.push({ name: `${name}, ${rule}, a move of a slider`, value: moveMs, unit: 'ms' });
    }
  }
  return figures;
}
