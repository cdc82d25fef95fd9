import type { Command } from '../command.ts';

/** Options of every command. */
export const COMMON = {
  config: { type: 'string' },
  'allow-unknown-settings': { type: 'boolean' },
  help: { type: 'boolean', short: 'h' },
} as const;

export type Commands = Readonly<Record<string, Pick<Command, 'summary' | 'usage' | 'options'>>>;

/** What the program says of itself, beside its commands. */
export const ABOUT_ITSELF: Readonly<Record<string, string>> = {
  help: 'list the commands',
  version: 'say which version this is; --version does so too',
  completion: 'write the completion for a shell, bash, zsh or fish, to standard output',
  manual: 'write the manual page (roff) to standard output',
};

/**
 * All commands, a line each.
 *
 * @param commands by name
 */
export function usageOfAll(commands: Commands): string {
  const lines = [
    ...Object.entries(commands).map(([name, { summary }]) => [name, summary] as const),
    ...Object.entries(ABOUT_ITSELF),
  ];
  const width = Math.max(...lines.map(([name]) => name.length));
  return `Usage: strikewell <command> [--config FILE]

${lines.map(([name, summary]) => `  ${name.padEnd(width)}  ${summary}`).join('\n')}

"strikewell <command> --help" says more. --allow-unknown-settings warns of settings that a newer version knows, and
starts without them. Settings are read from the environment, or from FILE (JSON) under
the same keys; see README.md.
`;
}

/** One command, as its --help says it. */
export function usageOf(name: string, { summary, usage }: Pick<Command, 'summary' | 'usage'>): string {
  return `Usage: strikewell ${name} ${usage}\n\n${summary}\n`;
}
