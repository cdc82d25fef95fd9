import type { PlaceSampler } from '../sampler.ts';

/** By how much the air is warmer than the root zone, K. */
export const airWarmerThanRoot: PlaceSampler = {
  by: 'place',
  beside: [],
  beforeMs: 0,
  pair: ['air/temperature', 'root/temperature'],
  value: (airC, rootC) => airC - rootC,
};
