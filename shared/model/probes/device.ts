import { z } from 'zod';

/** Enabled: may log in. Disabled: not for now. Retired: no longer there; both are undone by enabling. */
export const DEVICE_STATES = ['enabled', 'disabled', 'retired'] as const;
export type DeviceState = (typeof DEVICE_STATES)[number];

/** Levels below `strikewell/1/` on which the daemon itself publishes. */
const TAKEN = ['watch', 'places', 'alarms'];

/** The name of a device that logs in by itself: one level of its topics, its user name and its client id. */
export const deviceNameSchema = z
  .string()
  .regex(
    /^(?!\.{1,2}$)[A-Za-z0-9_.-]{1,64}$/,
    'a device is named by 1 to 64 of A-Z a-z 0-9 - _ . and not . or ..',
  )
  .refine((name) => !TAKEN.includes(name), `the names ${TAKEN.join(', ')} are the daemon's own`);

export const newDeviceSchema = z.strictObject({ device: deviceNameSchema });
export const devicePatchSchema = z.strictObject({ state: z.enum(DEVICE_STATES) });
