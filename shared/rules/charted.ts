import type { SeriesQuantityName } from '../quantities.ts';
import type { AlarmRule, LimitRule } from './rules.ts';

/** What a small chart beside an alarm shows, and which limit is drawn in it. */
export type Charted = {
  readonly quantity: SeriesQuantityName;
  /** the limit of the alarm itself, the low edge of the root zone's band, or none: then it is in another unit */
  readonly limit: 'of-alarm' | 'root-zone-band' | null;
};

const AIR = { quantity: 'airTemperatureC', limit: 'of-alarm' } as const;
const ROOT_ZONE = { quantity: 'rootZoneTemperatureC', limit: 'of-alarm' } as const;
const ROOT_ZONE_BAND = { quantity: 'rootZoneTemperatureC', limit: 'root-zone-band' } as const;
const HUMIDITY = { quantity: 'relativeHumidityPct', limit: null } as const;

const CHARTED: Readonly<Record<LimitRule, Charted>> & Readonly<Partial<Record<AlarmRule, Charted>>> = {
  'air-over-ceiling': AIR,
  'air-far-over-ceiling': AIR,
  'air-below-band-at-night': AIR,
  'air-below-band-by-day': AIR,
  'air-far-too-cold': AIR,
  'root-too-hot': ROOT_ZONE,
  'root-below-band': ROOT_ZONE,
  'root-zone-far-too-cold': ROOT_ZONE_BAND,
  'root-falling-towards-air': ROOT_ZONE_BAND,
  'vpd-above-band-in-light': { quantity: 'airVpdKpa', limit: 'of-alarm' },
  'no-mist-in-light': HUMIDITY,
  'mist-without-water': HUMIDITY,
  'mist-stuck-on': HUMIDITY,
  'vent-left-open': HUMIDITY,
  'saturated-too-long': HUMIDITY,
  'air-warmer-than-root': { quantity: 'airTemperatureC', limit: null },
  'light-over-peak': { quantity: 'ppfdUmolM2S', limit: 'of-alarm' },
  'no-data': { quantity: 'airTemperatureC', limit: null },
};

/** What a small chart beside an alarm of a rule shows; null where nothing measured bears on it. */
export function chartedOf(rule: AlarmRule): Charted | null {
  return CHARTED[rule] ?? null;
}
