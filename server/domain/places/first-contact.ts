import { DEFAULT_PLACE_SETTINGS, type Place } from '../../../shared/model/place.ts';

/** Most probes the daemon knows, and most of one device: a runaway sender must not fill the house. */
export const MAX_PROBES = 5_000;
export const MAX_PROBES_PER_DEVICE = 200;

/** The place that a device nobody has set up makes by its first readings: named after the device. */
export function placeOfFirstContact(device: string): Place {
  return { id: device, name: device, kind: 'unstated', invented: false, settings: DEFAULT_PLACE_SETTINGS };
}
