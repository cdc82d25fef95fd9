import { parseArgs } from 'node:util';
import packageFile from '../package.json' with { type: 'json' };
import { Fault } from '../shared/faults.ts';
import { readNamedFile } from './adapters/system/files/files.ts';
import { writePrivately } from './adapters/system/files/private-files.ts';
import { secretFiles } from './adapters/system/files/secret-files.ts';
import { completionFor, SHELLS } from './commands/about/completion.ts';
import { manualPage } from './commands/about/manual.ts';
import { COMMON, usageOf, usageOfAll } from './commands/about/usage.ts';
import type { Command } from './commands/command.ts';
import { COMMANDS } from './commands/list.ts';
import { readSettings, SETTING_KEYS, type Settings, withoutUnknown } from './config.ts';

/** Runs one command. Exit codes: 0 ended as asked, 2 a wrong command or setting or a refusal, 1 anything else. */
export async function main(argv: readonly string[]): Promise<void> {
  try {
    const [name = 'help', ...rest] = argv;
    stopWhereNobodyReads();
    const about = aboutItself(name, rest);
    if (about !== null) process.stdout.write(about);
    else await runCommand(name, rest);
  } catch (cause) {
    if (!(cause instanceof Fault)) throw cause;
    giveUp(cause);
  }
}

/** What the program says of itself, without settings, a record or a daemon; null: it is another command. */
function aboutItself(name: string, [shell = '']: readonly string[]): string | null {
  if (['help', '--help', '-h'].includes(name)) return usageOfAll(COMMANDS);
  if (['version', '--version', '-V'].includes(name)) return `strikewell ${packageFile.version}\n`;
  if (name === 'manual')
    return manualPage({ commands: COMMANDS, keys: SETTING_KEYS, version: packageFile.version });
  if (name !== 'completion') return null;
  const known = SHELLS.find((each) => each === shell);
  if (known !== undefined) return completionFor(known, COMMANDS);
  throw badUsage(`Say for which shell: strikewell completion ${SHELLS.join(' | ')}.`);
}

/** Who reads an answer may close the pipe once it has seen enough; the daemon goes on, and says so itself. */
function stopWhereNobodyReads(): void {
  process.stdout.on('error', (cause: NodeJS.ErrnoException) => {
    if (cause.code === 'EPIPE' && process.exitCode === undefined && !goesOn) process.exit(0);
  });
}

/** Whether a command goes on until a signal. */
let goesOn = false;

function giveUp(fault: Fault): never {
  process.stderr.write(`strikewell: ${fault.message}\n`);
  process.exit(2);
}

async function runCommand(name: string, rest: readonly string[]): Promise<void> {
  const command = Object.hasOwn(COMMANDS, name) ? COMMANDS[name] : undefined;
  if (!command) throw badUsage(`"${name}" is not a command.\n\n${usageOfAll(COMMANDS)}`);
  const { values, positionals } = parse(name, command, rest);
  if (values['help']) {
    process.stdout.write(usageOf(name, command));
    return;
  }
  const file = typeof values['config'] === 'string' ? readConfig(values['config']) : null;
  const note = (line: string) => void process.stderr.write(`${line}\n`);
  const settings = settingsOf(file, values['allow-unknown-settings'] === true ? note : null);
  const say = (line: string) => void process.stdout.write(`${line}\n`);
  if (!command.forOthers) writePrivately();
  goesOn = command.goesOn === true;
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

/** @param warn says which unknown settings are left out; null: they are refused */
function settingsOf(file: unknown, warn: ((line: string) => void) | null): Settings {
  const secrets = secretFiles(process.env['CREDENTIALS_DIRECTORY'] ?? null);
  if (warn === null) return readSettings(process.env, file, secrets);
  const isTable = typeof file === 'object' && file !== null && !Array.isArray(file);
  const fromFile = withoutUnknown(isTable ? (file as Record<string, unknown>) : {});
  const environment = withoutUnknown(process.env);
  for (const key of [...fromFile.unknown, ...environment.unknown])
    warn(`strikewell: the setting ${key} is unknown to this version and left out.`);
  return readSettings(environment.known, isTable ? fromFile.known : file, secrets);
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

function badUsage(message: string): Fault {
  return new Fault({ code: 'bad-request', message });
}
