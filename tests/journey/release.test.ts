import { spawn, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import { readdirSync, readFileSync, statSync, symlinkSync } from 'node:fs';
import { join } from 'node:path';
import { expect, onTestFinished, test } from 'vitest';
import packageFile from '../../package.json' with { type: 'json' };
import { ROOT } from '../house/sources.ts';
import { runChild } from '../support/child.ts';
import { machinePath, plainEnvironment } from '../support/environment.ts';
import { removeFolder, temporaryFolder } from '../support/folders.ts';
import { freePort } from '../support/ports.ts';
import { until } from '../support/wait.ts';

/** npm fetches the packages anew, beside whatever else the machine does. */
const LIMIT_MS = 300_000;

/** Every file of a folder with the time at which it was changed. */
function filesOf(folder: string): string[] {
  const entries = readdirSync(folder, { recursive: true, encoding: 'utf8' });
  return entries.map((path) => `${path} ${statSync(join(folder, path)).mtimeMs}`).toSorted();
}

test(
  'npm run release makes a tarball with its checksum, which starts from / with an empty PATH, serves the page and changes no file of its own',
  async () => {
    const out = temporaryFolder('release');
    onTestFinished(() => removeFolder(out));
    const env = plainEnvironment({ PATH: machinePath() });
    const name = `strikewell-${packageFile.version}-linux-${process.arch}`;
    const args = ['run', '--silent', 'release', '--', '--out', out, '--arch', process.arch];
    await runChild({ command: 'npm', args, env, cwd: ROOT });
    expect(spawnSync('sha256sum', ['--check', '--strict', 'SHA256SUMS'], { cwd: out }).status).toBe(0);
    const materials = JSON.parse(readFileSync(join(out, `${name}.cdx.json`), 'utf8'));
    expect(materials.bomFormat).toBe('CycloneDX');
    const listed = materials.components.map((each: { name: string }) => each.name);
    expect(listed).toEqual(expect.arrayContaining(Object.keys(packageFile.dependencies)));
    expect(listed).not.toContain('vitest');

    await runChild({ command: 'tar', args: ['-xzf', `${name}.tar.gz`], env, cwd: out });
    const asPacked = filesOf(join(out, name));
    symlinkSync(join(out, name, 'bin/strikewell'), join(out, 'linked'));
    const [httpPort, mqttPort] = [await freePort(), await freePort()];
    const settings = {
      PATH: '',
      STRIKEWELL_DATA_DIR: join(out, 'data'),
      STRIKEWELL_HTTP_PORT: String(httpPort),
      STRIKEWELL_MQTT_PORT: String(mqttPort),
    };
    const daemon = spawn(join(out, 'linked'), ['serve'], { env: settings, cwd: '/', stdio: 'pipe' });
    onTestFinished(() => void daemon.kill('SIGKILL'));
    let said = '';
    for (const stream of [daemon.stdout, daemon.stderr])
      stream?.on('data', (text: Buffer) => {
        said += text;
      });
    const page = async () => {
      if (daemon.exitCode !== null) throw new Error(said);
      const answer = await fetch(`http://127.0.0.1:${httpPort}/`);
      return answer.status === 200 ? answer.text() : null;
    };
    expect(await until(page, { what: 'page', withinMs: 60_000, everyMs: 50 })).toContain('<script');
    expect(said.trim().split('\n')).toHaveLength(1);
    daemon.kill('SIGTERM');
    expect(await once(daemon, 'exit')).toEqual([0, null]);
    expect(filesOf(join(out, name))).toEqual(asPacked);
  },
  LIMIT_MS,
);
