import { createReadStream } from 'node:fs';
import { Fault } from '../../../shared/faults.ts';
import type { CuttingsFileImport } from '../../../shared/wire/cuttings/import.ts';
import type { Store } from '../../ports.ts';
import type { Given } from '../command.ts';
import { beside, locked } from './opened.ts';
import { cuttingsOver } from './record-exchange.ts';

/** Where the running daemon takes the same file. */
const ADDRESS = '/api/v1/cuttings/import?dryRun=false';
/** Options that say how a file of readings is read. */
const OF_READINGS = ['device', 'map', 'map-file', 'zone', 'repeated-hour', 'as'] as const;

/**
 * Imports what an export of batches, plans, sheets or the diary wrote; a dry run unless it is to be stored.
 * @returns the exit code: 0 all well, 1 something was refused
 * @throws Fault `bad-request`, `store-failed`, `data-dir-in-use`
 */
export async function importCuttings(file: string, given: Given): Promise<{ readonly code: number }> {
  const { values, settings, say } = given;
  const other = OF_READINGS.find((name) => values[name] !== undefined);
  if (other !== undefined) {
    const message = `--${other} is for a file of readings; it means nothing with --what cuttings.`;
    throw new Fault({ code: 'bad-request', message });
  }
  const dryRun = values['store'] !== true;
  const as = /\.csv$/i.test(file) ? 'csv' : 'ndjson';
  const work = (store: Store) =>
    cuttingsOver(store, settings).importFrom(createReadStream(file), { as, dryRun });
  const answer = dryRun ? await beside(settings, work) : await locked(settings, ADDRESS, work);
  if (values['json']) say(JSON.stringify(answer));
  else for (const line of linesOf(answer, file)) say(line);
  return { code: answer.refusedInAll > 0 ? 1 : 0 };
}

function linesOf(answer: CuttingsFileImport, file: string): string[] {
  const { dryRun, batches, preparations, sheets, entries, photos, refused, refusedInAll, notes } = answer;
  return [
    `${file}: ${dryRun ? 'a dry run, nothing is stored' : 'stored'}`,
    `${dryRun ? 'would add' : 'added'} ${batches} batches, ${preparations} plans, ${sheets} sheets and ${entries} diary entries with ${photos} photos`,
    ...notes.map((note) => `  note: ${note}`),
    ...(refusedInAll === 0 ? [] : [`${refusedInAll} are refused:`]),
    ...refused.map(
      ({ what, nth, name, reason }) => `  ${what} ${nth}${name === null ? '' : ` (${name})`}: ${reason}`,
    ),
    ...(refusedInAll > refused.length ? [`  and ${refusedInAll - refused.length} more`] : []),
    ...(dryRun ? ['Add --store to store it.'] : []),
  ];
}
