/**
 * Most probes that are live: of one device, of all devices without a login of their own, and in all. So names that
 * somebody invents use up neither another device's nor those of devices with a login of their own.
 */
export const MAX_PROBES_PER_DEVICE = 200;
export const MAX_SHARED_PROBES = 5_000;
export const MAX_PROBES = 6_000;

export type ProbeCounts = {
  /** whether the device has a login of its own */
  readonly own: boolean;
  readonly ofDevice: number;
  /** of all devices without a login of their own */
  readonly shared: number;
  readonly inAll: number;
};

/** How many new probes a device may bring, and the limit that decides, in words. */
export function probeQuota({ own, ofDevice, shared, inAll }: ProbeCounts): { room: number; limit: string } {
  const quotas = [
    { room: MAX_PROBES_PER_DEVICE - ofDevice, limit: `${MAX_PROBES_PER_DEVICE} a device` },
    ...(own
      ? []
      : [
          {
            room: MAX_SHARED_PROBES - shared,
            limit: `${MAX_SHARED_PROBES} for all devices without a login of their own`,
          },
        ]),
    { room: MAX_PROBES - inAll, limit: `${MAX_PROBES} in all` },
  ];
  const tightest = quotas.reduce((least, quota) => (quota.room < least.room ? quota : least));
  return { ...tightest, room: Math.max(0, tightest.room) };
}
