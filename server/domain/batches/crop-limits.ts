/** Between which temperatures of the root zone a crop makes roots, °C, and the key of the paper. */
type CropLimits = {
  readonly baseC: number;
  readonly optimumC: number;
  readonly stopC: number;
  readonly source: string;
};

/** The only crop for which a fit of time to root was found. @source [WILKERSON05] */
const LIMITS: Readonly<Record<string, CropLimits>> = {
  poinsettia: { baseC: 21, optimumC: 28, stopC: 32, source: 'WILKERSON05' },
  'euphorbia pulcherrima': { baseC: 21, optimumC: 28, stopC: 32, source: 'WILKERSON05' },
};

/**
 * The published limits of a crop.
 * @param crop as somebody wrote it
 * @returns null where none are published
 * @example cropLimits('Poinsettia')?.baseC // 21
 */
export function cropLimits(crop: string): CropLimits | null {
  return LIMITS[crop.trim().toLowerCase()] ?? null;
}
