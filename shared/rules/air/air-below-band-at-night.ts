import { MINUTE_MS } from '../rule.ts';
import { airBelowBand } from './air-below-band.ts';

/** Air below its band by night. */
export const airBelowBandAtNight = airBelowBand({
  id: 'air-below-band-at-night',
  half: 'night',
  name: 'air below its band at night',
  onDelayMs: 30 * MINUTE_MS,
  halving: 3,
  begin: 13,
});
