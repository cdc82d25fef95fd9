import { parseArgs } from 'node:util';
import { Fault } from '../shared/faults.ts';
import { readNamedFile } from './adapters/system/files/files.ts';
import { writePrivately } from './adapters/system/files/private-files.ts';
import type { Command } from './commands/command.ts';
import { COMMANDS } from './commands/list.ts';
import { readSettings } from './config.ts';

const COMMON = { config: { type: 'string' }, help: { type: 'boolean', short: 'h' } } as const;

/** Runs one command. Exit codes: 0 ended as asked, 2 a wrong command or setting or a refusal, 1 anything else. */
export async function main(argv: readonly string[]): Promise<void> {
  try {
    const [name = 'help', ...rest] = argv;
    if (['help', '--help', '-h'].includes(name)) process.stdout.write(usage());
    else await runCommand(name, rest);
  } catch (cause) {
    if (!(cause instanceof Fault)) throw cause;
    giveUp(cause);
  }
}

function giveUp(fault: Fault): never {
  process.stderr.write(`strikewell: ${fault.message}\n`);
  process.exit(2);
}

async function runCommand(name: string, rest: readonly string[]): Promise<void> {
  const command = Object.hasOwn(COMMANDS, name) ? COMMANDS[name] : undefined;
  if (!command) throw badUsage(`"${name}" is not a command.\n\n${usage()}`);
  const { values, positionals } = parse(name, command, rest);
  if (values['help']) {
    process.stdout.write(usageOf(name, command));
    return;
  }
  const file = typeof values['config'] === 'string' ? readConfig(values['config']) : null;
  const settings = readSettings(process.env, file);
  const say = (line: string) => void process.stdout.write(`${line}\n`);
  const note = (line: string) => void process.stderr.write(`${line}\n`);
  if (!command.forOthers) writePrivately();
  const outcome = await command.run({ values, words: positionals, settings, say, note });
  if ('code' in outcome) {
    process.exitCode = outcome.code;
    return;
  }
  for (const signal of ['SIGINT', 'SIGTERM'] as const) {
    process.once(signal, () => void outcome.stop().then(() => process.exit(0)));
  }
  void outcome.broken?.then(giveUp);
}

function parse(name: string, command: Command, args: readonly string[]) {
  try {
    const options = { ...COMMON, ...command.options };
    const { values, positionals } = parseArgs({ args: [...args], allowPositionals: true, options });
    return { values: values as Record<string, string | boolean | undefined>, positionals };
  } catch (cause) {
    const why = cause instanceof Error ? cause.message : String(cause);
    throw badUsage(`${why}\n\n${usageOf(name, command)}`);
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

function usage(): string {
  const width = Math.max(...Object.keys(COMMANDS).map((name) => name.length));
  const lines = Object.entries(COMMANDS).map(([name, { summary }]) => `  ${name.padEnd(width)}  ${summary}`);
  return `Usage: strikewell <command> [--config FILE]

${lines.join('\n')}

"strikewell <command> --help" says more. Settings are read from the environment, or from FILE (JSON) under
the same keys; see README.md.
`;
}

function usageOf(name: string, { summary, usage: words }: Command): string {
  return `Usage: strikewell ${name} ${words}\n\n${summary}\n`;
}

function badUsage(message: string): Fault {
  return new Fault({ code: 'bad-request', message });
}
