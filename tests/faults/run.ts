import { availableParallelism, cpus } from 'node:os';
import { parseArgs } from 'node:util';
import { readyPage } from '../../server/page.ts';
import { readyTools } from '../support/tools.js';
import { FAULTS, playAll } from './faults.ts';
import { HEADER, isGood, rowOf } from './outcome.ts';

/** `npm run faults -- [--short] [--seed N] [WORD …]`: the faults whose names hold one of the words, or all, as a table. */
const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: { short: { type: 'boolean' }, seed: { type: 'string', default: '20261129' } },
});
Object.assign(process.env, readyTools());
// once, before daemons start side by side
const complaint = readyPage();
if (complaint !== null) throw new Error(complaint);
const how = { form: values.short ? 'short' : 'long', seed: Number(values.seed) } as const;
const isWanted = (name: string) =>
  positionals.length === 0 || positionals.some((word) => name.includes(word));
const chosen = FAULTS.filter(({ names }) => names.some(isWanted));
const startedMs = performance.now();
const rows = await playAll(chosen, how, (row) => console.error(rowOf(row)));
const tookS = (performance.now() - startedMs) / 1_000;
const bad = rows.filter((row) => !isGood(row));
const tries = rows.reduce((sum, { outcome }) => sum + (outcome?.tries ?? 0), 0);
const cores = `${availableParallelism()} cores (${cpus()[0]?.model.trim() ?? 'unknown'})`;
console.log(
  `${cores}, node ${process.version}, seed ${how.seed}, ${tries} faults in ${tookS.toFixed(0)} s\n`,
);
console.log([HEADER, ...rows.map(rowOf)].join('\n'));
console.log(
  bad.length === 0
    ? '\nNothing lost, nothing doubled, somebody called each time.'
    : `\n${bad.length} not good`,
);
process.exit(bad.length === 0 ? 0 : 1);
