import { expect, test } from 'vitest';
import { ROOT } from '../house/sources.ts';
import { startChild } from '../support/child.ts';
import { plainEnvironment } from '../support/environment.ts';

/** A Node that says it is another version: only what the scripts see is changed. */
function pretending(version: string): string {
  const code = `Object.defineProperty(process, 'versions', { value: { ...process.versions, node: '${version}' } })`;
  return `data:text/javascript,${encodeURIComponent(code)}`;
}

async function launchOn(
  version: string,
  script: readonly string[],
): Promise<{ code: number | null; said: string }> {
  const args = ['--import', pretending(version), ...script];
  const child = startChild({ command: process.execPath, args, env: plainEnvironment(), cwd: ROOT });
  const { code } = await child.exit;
  return { code, said: child.stdout() + child.stderr() };
}

test.each([
  ['20.20.2', ['server/launch.js', 'serve']],
  ['22.17.1', ['server/launch.js', 'serve']],
  ['18.0.0', ['tests/support/run.js']],
])(
  'Node %s is refused by %s with exit code 2 and 1 line that names 22.18 and what was found',
  async (version, script) => {
    const { code, said } = await launchOn(version, script);
    expect(code).toBe(2);
    expect(said.trim().split('\n')).toHaveLength(1);
    expect(said).toContain('22.18');
    expect(said).toContain(version);
  },
);
