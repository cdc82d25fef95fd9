/**
 * Small deterministic generator, "mulberry32" (public domain, from memory).
 *
 * @param seed any 32-bit number
 * @returns a function that draws integers of 0 to below `bound`
 */
export function integersFrom(seed: number): (bound: number) => number {
  let state = seed;
  return (bound) => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return Math.floor((((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32) * bound);
  };
}
