/** A straight line from what a probe reports to what is taken for true: gain × value + offset, in the probe's unit. */
export type Line = { readonly gain: number; readonly offset: number };

/** No correction. */
export const NO_CORRECTION: Line = { gain: 1, offset: 0 };
