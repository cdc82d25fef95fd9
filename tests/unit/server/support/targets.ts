import type { Targets } from '../../../../shared/model/targets.ts';

/** Bands to be judged by; every figure is made up for tests, and round so that sums can be made by hand. */
export const TARGETS: Targets = {
  dayStart: '06:00',
  nightStart: '20:00',
  rootZone: { day: { lowC: 20, highC: 25 }, night: { lowC: 20, highC: 25 } },
  air: { day: { lowC: 20, highC: 25 }, night: { lowC: 10, highC: 15 }, ceilingC: 27 },
  vpd: { lowKpa: 0.1, highKpa: 0.5 },
  saturation: { relativeHumidityPct: 97 },
};

/** The bands above with other wall-clock times. */
export function daysFrom(dayStart: string, { nightStart }: { readonly nightStart: string }): Targets {
  return { ...TARGETS, dayStart, nightStart };
}
