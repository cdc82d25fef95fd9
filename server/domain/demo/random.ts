/** A draw without memory: the same seed, stream and index always give the same number. */
type Draw = { readonly seed: number; readonly stream: number; readonly index: number };

const TWO_32 = 4_294_967_296;

function scrambled(word: number): number {
  let h = word;
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return h ^ (h >>> 16);
}

/**
 * A number that looks drawn at random, for simulated weather and sensor noise.
 * @param draw seed, stream and index, whole numbers
 * @returns 0 up to, not including, 1; no unit
 * @example uniform({ seed: 1, stream: 2, index: 3 })
 */
export function uniform(draw: Draw): number {
  const mixed = scrambled(scrambled(scrambled(draw.seed + 0x9e3779b9) ^ draw.stream) ^ draw.index);
  return (mixed >>> 0) / TWO_32;
}

/**
 * A number that looks drawn from the normal distribution of mean 0 and standard deviation 1.
 * Relation: Box and Muller 1958, sqrt(−2 ln u) cos(2πv), from memory
 * @param draw seed, stream and index, whole numbers
 * @returns no unit, within about −6.7…6.7
 * @example gaussian({ seed: 1, stream: 2, index: 3 })
 */
export function gaussian(draw: Draw): number {
  const { seed, stream, index } = draw;
  const radius = Math.sqrt(-2 * Math.log(uniform({ seed, stream: 2 * stream, index }) + 1 / TWO_32));
  return radius * Math.cos(2 * Math.PI * uniform({ seed, stream: 2 * stream + 1, index }));
}
