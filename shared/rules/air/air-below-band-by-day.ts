import { HOUR_MS } from '../rule.ts';
import { airBelowBand } from './air-below-band.ts';

/** Air below its band by day: a cool morning may warm for hours before it is lost time. The delay is a proposal. */
export const airBelowBandByDay = airBelowBand({
  id: 'air-below-band-by-day',
  half: 'day',
  name: 'air below its band by day',
  onDelayMs: 4 * HOUR_MS,
  halving: 4,
  begin: 21,
});
