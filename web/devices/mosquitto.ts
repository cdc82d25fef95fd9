import type { NewDevice } from '../../shared/wire/probes/device.ts';

const PASSWORDS = '/etc/mosquitto/passwords';

/** The line that makes a device known to Mosquitto; a new secret takes the place of the old one. */
export function passwordLine({ device, secret }: NewDevice): string {
  return `mosquitto_passwd -b ${PASSWORDS} ${device} ${secret}`;
}

/** The line that ends a device's login there. */
export function removeLine(device: string): string {
  return `mosquitto_passwd -D ${PASSWORDS} ${device}`;
}

/** What a device may: its own two topics, and to receive what the daemon publishes. */
export function aclLines(device: string): string {
  return [
    `user ${device}`,
    ...['readings', 'status'].map((kind) => `topic write strikewell/1/${device}/${kind}`),
    ...['watch/heartbeat', 'places/+/now', 'alarms/+'].map((topic) => `topic read strikewell/1/${topic}`),
  ].join('\n');
}

/** What the daemon itself may; the demo's devices publish by its login too. */
export function daemonAclLines(user: string): string {
  return [
    `user ${user}`,
    ...['readings', 'status'].map((kind) => `topic read strikewell/1/+/${kind}`),
    ...['watch/heartbeat', 'places/+/now', 'alarms/+'].map((topic) => `topic write strikewell/1/${topic}`),
    ...['demo-mist-bench', 'demo-bottle-dome', 'demo-heated-case'].map(
      (device) => `topic write strikewell/1/${device}/readings`,
    ),
  ].join('\n');
}

/** The lines of mosquitto.conf under which the two files count. */
export const CONF_LINES = [
  'allow_anonymous false',
  `password_file ${PASSWORDS}`,
  'acl_file /etc/mosquitto/acl',
].join('\n');
