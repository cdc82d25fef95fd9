import { airVpdKpa } from '../../../../../shared/climate/humidity.ts';
import { asFormulasTakeIt } from '../../../exposures/curves.ts';
import type { PlaceSampler } from '../sampler.ts';

/** Vapour pressure deficit of the air, kPa, of the medians of its probes. */
export const vpdAboveBandInLight: PlaceSampler = {
  by: 'place',
  beside: [],
  beforeMs: 0,
  pair: ['air/temperature', 'air/humidity'],
  value: (airTemperatureC, relativeHumidityPct) =>
    airVpdKpa({ airTemperatureC, relativeHumidityPct: asFormulasTakeIt(relativeHumidityPct) }),
};
