import { expect, test } from 'vitest';
import { FAULTS, playAll } from '../faults/faults.ts';
import { HEADER, isGood, rowOf } from '../faults/outcome.ts';

/** `npm run faults` brings each about many times more. */
const SEED = 20_261_129;

test('the daemon killed in every phase of its work, a full disk, a clock that is set, poison, a dribbling mail server and a hanging webhook: nothing is lost or doubled, and air at 48 °C is mailed each time', async () => {
  const rows = await playAll(FAULTS, { form: 'short', seed: SEED }, () => undefined);
  console.log([HEADER, ...rows.map(rowOf)].join('\n'));
  expect(rows.filter((row) => !isGood(row)).map(rowOf)).toEqual([]);
  // what a form leaves out must not be left out unseen
  expect(rows.map(({ name }) => name.replace(/, (own broker|Mosquitto)$/, ''))).toEqual([
    ...PHASES,
    ...PHASES,
    'killed while an old record is migrated',
    'killed while restoring a backup',
    'the disk is full for a while',
    'a message that cannot be committed',
    'the clock is set by up to 2 days',
    'a mail server that dribbles until it is given up',
    'a webhook that hangs, beside the mail',
  ]);
}, 300_000);

const PHASES = [
  'taking readings',
  'sealing hours',
  'settling exposures',
  'making a backup',
  'calling people',
].map((phase) => `killed while ${phase}`);
