import { Fault } from '../../shared/faults.ts';
import { backup } from './backup.ts';
import { check } from './check.ts';
import type { Command, Given } from './command.ts';
import { doctor } from './doctor.ts';
import { exportRecord } from './export.ts';
import { importReadings } from './import.ts';
import { owner } from './owner.ts';
import { rebuild } from './rebuild.ts';
import { restore } from './restore.ts';
import { serve } from './serve.ts';

function serving({ demo }: { demo: boolean }): Pick<Command, 'options' | 'usage' | 'run'> {
  return {
    usage: '[--config FILE]',
    options: {},
    run({ settings, words }: Given) {
      if (words.length > 0) {
        throw new Fault({
          code: 'bad-request',
          message: `"${words.join(' ')}" means nothing here; give no words.`,
        });
      }
      return serve(settings, { demo });
    },
  };
}

/** Every command, by name. */
export const COMMANDS: Readonly<Record<string, Command>> = {
  serve: {
    summary: 'watch: embedded broker (or yours), record, alarms, page',
    ...serving({ demo: false }),
  },
  demo: {
    summary: 'the same, with an invented mist bench and an invented bottle dome',
    ...serving({ demo: true }),
  },
  check,
  owner,
  doctor,
  backup,
  restore,
  export: exportRecord,
  import: importReadings,
  rebuild,
};
