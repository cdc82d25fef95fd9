/** Where in the section through the bench a probe sits. */
export const POSITIONS = ['air', 'leaf', 'root', 'light', 'mist', 'wall', 'outside', 'battery'] as const;

/**
 * One sensor channel of a device. `quantity` is `<position>/<quantity>` when the
 * name is well known, else null: such a probe is kept, unassigned.
 */
export type Probe = {
  readonly id: number;
  readonly device: string;
  readonly name: string;
  readonly quantity: string | null;
  readonly unit: string;
  readonly placeId: string | null;
  readonly conflicts: number;
};

/** One value of one probe, in the probe's canonical unit, at a time in ms since epoch. */
export type Reading = { readonly probeId: number; readonly tMs: number; readonly value: number };
