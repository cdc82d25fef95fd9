import { DEVICE_NAME } from './limits.ts';

const ROOT = 'strikewell/1';

/** What the daemon subscribes to, QoS 1. */
export const READINGS_FILTER = `${ROOT}/+/readings`;
export const STATUS_FILTER = `${ROOT}/+/status`;

/** Where the daemon publishes, retained, that it runs. */
export const HEARTBEAT_TOPIC = `${ROOT}/watch/heartbeat`;

type DeviceTopic = { readonly device: string; readonly kind: 'readings' | 'status' };

/**
 * The name, as one level of a topic.
 * @throws RangeError when the name would not stay one level
 */
function level(name: string): string {
  if (name === '' || /[/+#\0]/.test(name)) {
    throw new RangeError(`"${name}" is not one level of a topic: it is empty or holds "/", "+", "#" or NUL`);
  }
  return name;
}

/** Topic on which a device sends its readings. */
export const readingsTopic = (device: string): string => `${ROOT}/${level(device)}/readings`;

/** Topic of a device's retained status, also of its Will. */
export const statusTopic = (device: string): string => `${ROOT}/${level(device)}/status`;

/** Topic on which the daemon publishes, retained, the present state of a place. */
export const placeNowTopic = (placeId: string): string => `${ROOT}/places/${level(placeId)}/now`;

/** Topic on which the daemon publishes, retained, the state of an alarm. */
export const alarmTopic = (alarmId: string): string => `${ROOT}/alarms/${level(alarmId)}`;

/** Device and kind of a topic on which devices publish; null for any other topic. */
export function parseDeviceTopic(topic: string): DeviceTopic | null {
  const levels = topic.split('/');
  const [root, version, device, kind] = levels;
  if (levels.length !== 4 || `${root}/${version}` !== ROOT) return null;
  if (device === undefined || !DEVICE_NAME.test(device)) return null;
  return kind === 'readings' || kind === 'status' ? { device, kind } : null;
}
