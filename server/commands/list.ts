import { Fault } from '../../shared/faults.ts';
import { backup } from './backup.ts';
import { check } from './check.ts';
import type { Command, Given } from './command.ts';
import { doctor } from './doctor.ts';
import { exportRecord } from './exchange/export.ts';
import { importReadings } from './exchange/import.ts';
import { healthy } from './healthy.ts';
import { owner } from './owner.ts';
import { rebuild } from './rebuild.ts';
import { restore } from './restore.ts';

function serving({ demo }: { demo: boolean }): Pick<Command, 'options' | 'usage' | 'run' | 'goesOn'> {
  return {
    usage: '[--config FILE]',
    options: {},
    goesOn: true,
    async run({ settings, words }: Given) {
      if (words.length > 0) {
        throw new Fault({
          code: 'bad-request',
          message: `"${words.join(' ')}" is an unexpected argument.`,
        });
      }
      // brokers, page and mail are read in by this command alone
      const { serve } = await import('./serve/serve.ts');
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
    summary: 'the same, with a demo mist bench, bottle dome and heated case',
    ...serving({ demo: true }),
  },
  check,
  owner,
  doctor,
  healthy,
  backup,
  restore,
  export: exportRecord,
  import: importReadings,
  rebuild,
};
