import { spawnSync } from 'node:child_process';
import { expect, test } from 'vitest';
import { completionFor } from '../../../../../server/commands/about/completion.ts';
import { manualPage } from '../../../../../server/commands/about/manual.ts';
import { usageOfAll } from '../../../../../server/commands/about/usage.ts';
import { COMMANDS } from '../../../../../server/commands/list.ts';
import { SETTING_KEYS } from '../../../../../server/config.ts';

/** What bash offers after some words. */
function offered(words: readonly string[]): string[] {
  const list = words.map((word) => `'${word}'`).join(' ');
  const script = `${completionFor('bash', COMMANDS)}
COMP_WORDS=(${list}); COMP_CWORD=${words.length - 1}; _strikewell; printf '%s\\n' "\${COMPREPLY[@]}"`;
  const ran = spawnSync('bash', ['-c', script], { encoding: 'utf8' });
  expect(ran.stderr).toBe('');
  return ran.stdout.split('\n').filter((line) => line !== '');
}

test('bash completes "strikewell ex" to export, and "export --pl" to --place', () => {
  expect(offered(['strikewell', 'ex'])).toEqual(['export']);
  expect(offered(['strikewell', 'export', '--pl'])).toEqual(['--place']);
});

test('each command stands in the help, in the manual page and in the completion of 3 shells', () => {
  const page = manualPage({ commands: COMMANDS, keys: SETTING_KEYS, version: '0.1.0' });
  for (const name of Object.keys(COMMANDS)) {
    expect(usageOfAll(COMMANDS)).toContain(`\n  ${name} `);
    expect(page).toContain(`.SS "strikewell ${name}"`);
    for (const shell of ['bash', 'zsh', 'fish'] as const)
      expect(completionFor(shell, COMMANDS)).toContain(name);
  }
  for (const key of SETTING_KEYS) expect(page).toContain(key);
});

test('no line of the manual page is an order of roff by chance', () => {
  const usage = ".TH is no order\n'nor this\na-b";
  const commands = { trial: { summary: 'try', usage, options: {} } };
  const page = manualPage({ commands, keys: [], version: '0.1.0' });
  expect(page).toContain("\\&.TH is no order\n\\&'nor this\na\\-b");
});
