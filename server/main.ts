import { parseArgs } from 'node:util';
import { Fault } from '../shared/faults.ts';
import { readNamedFile } from './adapters/system/files.ts';
import { serve } from './commands/serve.ts';
import { readSettings } from './config.ts';

const USAGE = `Usage: strikewell <command> [--config FILE]

  serve   watch: embedded broker (or yours), record, alarms, page
  demo    the same, with an invented mist bench and an invented bottle dome

Settings are read from the environment, or from FILE (JSON) under the same keys; see README.md.
`;

/** Runs one command. Exit codes: 0 ended as asked, 2 a wrong command or setting, 1 anything else. */
export async function main(argv: readonly string[]): Promise<void> {
  try {
    const { command, config } = readCommand(argv);
    if (command === 'help') {
      process.stdout.write(USAGE);
      return;
    }
    const settings = readSettings(process.env, config);
    const running = await serve(settings, { demo: command === 'demo' });
    for (const signal of ['SIGINT', 'SIGTERM'] as const) {
      process.once(signal, () => void running.stop().then(() => process.exit(0)));
    }
  } catch (cause) {
    if (!(cause instanceof Fault)) throw cause;
    process.stderr.write(`strikewell: ${cause.message}\n`);
    process.exit(2);
  }
}

function readCommand(argv: readonly string[]): { command: 'serve' | 'demo' | 'help'; config: unknown } {
  const { values, positionals } = parse(argv);
  const [command = 'help', ...more] = positionals;
  if (values.help || command === 'help') return { command: 'help', config: null };
  if ((command !== 'serve' && command !== 'demo') || more.length > 0) {
    throw badUsage(`"${positionals.join(' ')}" is not a command`);
  }
  return { command, config: values.config === undefined ? null : readConfig(values.config) };
}

function parse(argv: readonly string[]) {
  try {
    return parseArgs({
      args: [...argv],
      allowPositionals: true,
      options: { config: { type: 'string' }, help: { type: 'boolean', short: 'h' } },
    });
  } catch (cause) {
    throw badUsage(cause instanceof Error ? cause.message : String(cause));
  }
}

function readConfig(path: string): unknown {
  const text = readNamedFile({ key: '--config', path }).toString('utf8');
  try {
    return JSON.parse(text);
  } catch (cause) {
    const why = cause instanceof Error ? cause.message : String(cause);
    throw new Fault({ code: 'bad-setting', message: `--config ${path} is not JSON: ${why}.`, cause });
  }
}

function badUsage(what: string): Fault {
  return new Fault({ code: 'bad-request', message: `${what}.\n\n${USAGE}` });
}
