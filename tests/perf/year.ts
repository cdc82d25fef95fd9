import type { Figure } from './figure.ts';
import type { Sizes } from './sizes.ts';
export async function yearOfOneProbe(_sizes: Sizes): Promise<Figure[]> {
  return [];
}
