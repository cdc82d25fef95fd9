import { availableParallelism, cpus } from 'node:os';
import { parseArgs } from 'node:util';
import { readyTools } from '../support/tools.js';
import { FAULTS } from './faults.ts';
import { HEADER, isGood, rowOf } from './outcome.ts';

/** Every fault in turn, as a table; those whose names hold one of the words, when words are given. */
const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: { short: { type: 'boolean' }, seed: { type: 'string', default: '20261129' } },
});
Object.assign(process.env, readyTools());
const seed = Number(values.seed);
const chosen = FAULTS.filter(
  ({ name }) => positionals.length === 0 || positionals.some((word) => name.includes(word)),
);
console.log(
  `${availableParallelism()} cores (${cpus()[0]?.model.trim() ?? 'unknown'}), node ${process.version}, seed ${seed}\n`,
);
console.log(HEADER);
let bad = 0;
for (const fault of chosen) {
  const outcome = await fault.run({ tries: values.short ? fault.short : fault.long, seed });
  console.log(rowOf(fault.name, outcome));
  if (!isGood(outcome)) bad += 1;
}
console.log(bad === 0 ? '\nNothing lost, nothing doubled, somebody called each time.' : `\n${bad} not good`);
process.exit(bad === 0 ? 0 : 1);
