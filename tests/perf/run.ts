import { availableParallelism, cpus, loadavg } from 'node:os';
import { parseArgs } from 'node:util';
import { readyTools } from '../support/tools.js';
import { lineOf } from './figure.ts';
import { measure } from './measure.ts';
import { FULL, TINY } from './sizes.ts';

const { values, positionals } = parseArgs({ allowPositionals: true, options: { tiny: { type: 'boolean' } } });
Object.assign(process.env, readyTools());
console.log(
  `${availableParallelism()} cores (${cpus()[0]?.model.trim() ?? 'unknown'}), node ${process.version}, seed ${FULL.seed}, load ${loadavg()[0]?.toFixed(1)}`,
);
for await (const figure of measure(values.tiny ? TINY : FULL, positionals)) console.log(lineOf(figure));
process.exit(0);
