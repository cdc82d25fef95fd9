/** A device that nobody accepted yet, or that somebody ignored. Times in RFC 3339; counts are packs. */
export type WaitingDeviceView = {
  readonly device: string;
  readonly state: 'waiting' | 'ignored';
  readonly since: string;
  readonly lastAt: string;
  readonly received: number;
  /** kept until it is accepted, and their size */
  readonly kept: number;
  readonly bytes: number;
  /** acknowledged, and not kept: beyond the bounds, or of a device that is ignored */
  readonly dropped: number;
  /** who ignored it, and when; null while it waits */
  readonly decidedAt: string | null;
  readonly decidedBy: string | null;
  /** in the archive: accepting restores it with its record */
  readonly archived: boolean;
};

export type WaitingAnswer = {
  readonly waiting: readonly WaitingDeviceView[];
  readonly ignored: readonly WaitingDeviceView[];
  readonly limits: {
    readonly devices: number;
    readonly packsPerDevice: number;
    readonly bytesPerDevice: number;
    readonly bytesInAll: number;
  };
  /** packs dropped of devices that left the list, and packs of devices that found it full */
  readonly dropped: number;
  readonly turnedAway: number;
};

/** What became of the packs of a device that was accepted. */
export type AcceptedDevice = {
  readonly device: string;
  /** readings that are in the record now */
  readonly stored: number;
  /** packs refused on the way, and packs that had been dropped before */
  readonly refused: number;
  readonly dropped: number;
};

/** What an order to archive or delete takes along. Times in RFC 3339. */
export type ArchiveContents = {
  readonly places: readonly { readonly id: string; readonly name: string }[];
  readonly devices: readonly string[];
  readonly probes: number;
  /** time of the first and the last reading, or null without any */
  readonly readingsFrom: string | null;
  readonly readingsTo: string | null;
  /** alarms that are active now, and alarms with a history */
  readonly activeAlarms: number;
  readonly alarms: number;
  /** entries by hand: vents and checks */
  readonly entries: number;
};

export type ArchiveKind = 'place' | 'probe' | 'device';

/** Something that was archived or deleted. Deleted: removed for good at `until`; removing: that is under way. */
export type ArchiveItemView = ArchiveContents & {
  readonly id: number;
  readonly kind: ArchiveKind;
  readonly name: string;
  readonly state: 'archived' | 'deleted' | 'removing';
  readonly since: string;
  readonly by: string | null;
  readonly until: string | null;
  /** readings that came for it and were left out, since the daemon started */
  readonly leftOut: number;
};

export type ArchiveAnswer = { readonly items: readonly ArchiveItemView[]; readonly next?: string | null };
