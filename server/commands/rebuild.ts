import { Fault } from '../../shared/faults.ts';
import { lockDataDir } from '../adapters/sqlite/file/lock.ts';
import { systemClock as clock } from '../adapters/system/clock.ts';
import { holdsBytes } from '../adapters/system/files/aside.ts';
import { hoursToSettle, type SettleContext, settleHours } from '../daemon/world/settled-exposures.ts';
import { World } from '../daemon/world/world.ts';
import type { Command } from './command.ts';
import { openRecord, recordFileIn } from './record-file.ts';

/** Hours settled between two words of progress: a week. */
const HOURS_A_STEP = 7 * 24;
/** Hours sealed in one go. */
const SEALED_A_STEP = 500;

/** Drops all that is derived from the readings and makes it again; the readings stay as they are. */
export const rebuild: Command = {
  summary: 'drop all that is derived from the readings, and make it again',
  usage: '[--json] [--config FILE]',
  options: { json: { type: 'boolean' } },
  async run({ settings, values, words, say, note }) {
    if (words.length > 0) {
      throw new Fault({
        code: 'bad-request',
        message: `"${words.join(' ')}" is an unexpected argument.`,
      });
    }
    const file = recordFileIn(settings.dataDir);
    if (!holdsBytes(file)) {
      throw new Fault({ code: 'not-found', message: `There is no record ${file}; set STRIKEWELL_DATA_DIR.` });
    }
    const lock = lockDataDir(settings.dataDir);
    const { store } = openRecord({ dataDir: settings.dataDir, nowMs: clock.nowMs() });
    try {
      const context = { store, world: new World(store), timeZone: settings.timeZone, nowMs: clock.nowMs() };
      const settled = rebuiltHours(context, note);
      say(
        values['json'] ? JSON.stringify({ settledHours: settled }) : `Settled ${total(settled)} hours again.`,
      );
      return { code: 0 };
    } finally {
      store.close();
      lock.release();
    }
  },
};

/** @returns hours settled, by place */
function rebuiltHours(context: SettleContext, note: (line: string) => void): Record<string, number> {
  const { store, world, nowMs } = context;
  store.transaction(() => store.settled.forgetAll());
  while (store.journal.seal({ nowMs, limit: SEALED_A_STEP }).more) note('sealing hours that are over…');
  const settled: Record<string, number> = {};
  for (const place of world.places.values()) {
    const { first, end } = hoursToSettle(place, context);
    for (let from = first; from < end; from += HOURS_A_STEP) {
      settleHours(place, { first: from, end: Math.min(end, from + HOURS_A_STEP) }, context);
      note(`${place.name}: ${Math.min(end, from + HOURS_A_STEP) - first} of ${end - first} hours`);
    }
    settled[place.id] = end - first;
  }
  return settled;
}

function total(settled: Readonly<Record<string, number>>): number {
  return Object.values(settled).reduce((sum, hours) => sum + hours, 0);
}
