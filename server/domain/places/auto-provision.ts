import { DEFAULT_PLACE_SETTINGS, type Place } from '../../../shared/model/place.ts';

/** The place that a device nobody has set up makes by its first readings: named after the device. */
export function autoProvisionedPlace(device: string): Place {
  const settings = { ...DEFAULT_PLACE_SETTINGS, questionsOpen: true };
  return { id: device, name: device, kind: 'unstated', invented: false, settings };
}
