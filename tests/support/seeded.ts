/**
 * A stream of numbers that is the same at every run. [LCG] with Knuth's MMIX constants, as given in
 * The Art of Computer Programming, volume 2, from memory: any full-period generator would do here.
 *
 * @param seed a whole number
 * @returns a function that gives the next number, 0 ≤ n < 1
 */
export function seededNumbers(seed: number): () => number {
  let state = BigInt(seed);
  return () => {
    state = BigInt.asUintN(64, state * 6_364_136_223_846_793_005n + 1_442_695_040_888_963_407n);
    return Number(state >> 11n) / 2 ** 53;
  };
}

/**
 * The items in an order that only the seed decides (Fisher–Yates).
 *
 * @param items what to shuffle; left as it is
 * @param seed a whole number
 * @returns a new array
 */
export function shuffled<T>(items: readonly T[], seed: number): T[] {
  const next = seededNumbers(seed);
  return items.reduce<T[]>((mixed, item, count) => {
    const place = Math.floor(next() * (count + 1));
    mixed.push(mixed[place] ?? item);
    mixed[place] = item;
    return mixed;
  }, []);
}
