/** Within how long after its box is opened a crop is to be stuck. */
type AfterOpening = { readonly kind: 'after-opening'; readonly hours: number; readonly source: string };

/** How long in a box at a temperature, or above it, spoils a crop. */
type WarmInBox = {
  readonly kind: 'warm-in-box';
  readonly temperatureC: number;
  /** whether that temperature itself counts */
  readonly inclusive: boolean;
  readonly hours: number;
  readonly source: string;
};
export type HoldingLimit = AfterOpening | WarmInBox;

const within = (hours: number): readonly HoldingLimit[] => [{ kind: 'after-opening', hours, source: 'HR44' }];

/** Counted from the arrival of a box, after 48 to 72 h on the way. @source [HR44] p. 150 */
const WITHIN_4_H = [
  'bacopa',
  'coleus',
  'dahlia',
  'geranium',
  'heliotrope',
  'lantana',
  'lavender',
  'portulaca',
  'sweet potato',
  'thunbergia',
];
const WITHIN_24_H = ['fuchsia', 'impatiens', 'mandevilla', 'poinsettia', 'strawflower'];

/** In the box: unsaleable after, and never recovered. @source [PET05] */
const PETUNIA: readonly HoldingLimit[] = [
  { kind: 'warm-in-box', temperatureC: 15, inclusive: false, hours: 72, source: 'PET05' },
  { kind: 'warm-in-box', temperatureC: 25, inclusive: true, hours: 48, source: 'PET05' },
];

const LIMITS: ReadonlyMap<string, readonly HoldingLimit[]> = new Map([
  ...WITHIN_4_H.map((crop) => [crop, within(4)] as const),
  ...WITHIN_24_H.map((crop) => [crop, within(24)] as const),
  ['euphorbia pulcherrima', within(24)],
  ['petunia', PETUNIA],
]);

/**
 * What is published of how long cuttings of a crop may be held.
 * @param crop as somebody wrote it
 * @returns none where nothing is
 * @example publishedHolding('Geranium')[0]?.hours // 4
 */
export function publishedHolding(crop: string): readonly HoldingLimit[] {
  return LIMITS.get(crop.trim().toLowerCase()) ?? [];
}
