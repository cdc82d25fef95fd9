import { outcomesOf } from './packs.ts';

/** `node tests/fuzz/million.ts [COUNT] [SEED]`: damages that many packs, a million unless told, and prints what became of them. */
const [count = 1_000_000, seed = 20_260_304] = process.argv.slice(2).map(Number);
const seen = [...outcomesOf({ count, seed })].sort(([, a], [, b]) => b - a);
for (const [outcome, packs] of seen) console.log(`${String(packs).padStart(9)}  ${outcome}`);
const counted = seen.reduce((sum, [, packs]) => sum + packs, 0);
console.log(
  `${String(counted).padStart(9)}  in all, seed ${seed}; none threw, none was taken against the contract`,
);
