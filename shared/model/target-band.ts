import type { Targets, TemperatureBandC } from './targets.ts';

/**
 * The temperature band of a position while it moves between night and day, °C.
 * @param moment.night whether it is night by the switches
 * @param moment.dayShare how far it has moved to the band of day, 0…1; absent: all the way of its half
 * @example bandAt({ targets, night: true, dayShare: 0.5 }, 'air') // halfway between the bands of day and night
 */
export function bandAt(
  moment: { readonly targets: Targets; readonly night: boolean; readonly dayShare?: number | undefined },
  position: 'rootZone' | 'air',
): TemperatureBandC {
  const { day, night } = moment.targets[position];
  const { dayShare = moment.night ? 0 : 1 } = moment;
  if (dayShare === 1) return day;
  if (dayShare === 0) return night;
  const between = (low: number, high: number) => low + (high - low) * dayShare;
  return { lowC: between(night.lowC, day.lowC), highC: between(night.highC, day.highC) };
}
