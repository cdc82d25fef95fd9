/** The size of a picture that fits into a square, px; no side is ever 0. */
export function sizeWithin(
  { width, height }: { readonly width: number; readonly height: number },
  sidePx: number,
): { readonly width: number; readonly height: number } {
  const factor = Math.min(1, sidePx / Math.max(width, height));
  return {
    width: Math.max(1, Math.round(width * factor)),
    height: Math.max(1, Math.round(height * factor)),
  };
}
