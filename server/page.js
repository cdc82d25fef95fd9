import { spawn, spawnSync } from 'node:child_process';
import { existsSync, readdirSync, statSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

const root = fileURLToPath(new URL('..', import.meta.url));
const viteCommand = `${root}node_modules/vite/bin/vite.js`;
const buildArguments = [viteCommand, 'build', '--config', 'web/vite.config.ts', '--logLevel', 'warn'];

/** Builds the page when it is missing or older than a source of it; throws when it cannot be built. */
export function ensurePageBuilt() {
  if (!isPageStale()) return;
  if (!existsSync(viteCommand)) throw new Error('the page is not built and vite is missing: run "npm ci"');
  console.error('building the page…');
  const built = spawnSync(process.execPath, buildArguments, { cwd: root, stdio: ['ignore', 2, 2] });
  if (built.status !== 0) throw new Error('the page could not be built; the lines above say why');
}

/** Builds the page anew at every change of a source, until this process ends. */
export function watchPage() {
  const watcher = spawn(process.execPath, [...buildArguments, '--watch'], {
    cwd: root,
    stdio: ['ignore', 2, 2],
  });
  watcher.unref();
  process.on('exit', () => watcher.kill());
}

function isPageStale() {
  const built = statSync(`${root}web/dist/index.html`, { throwIfNoEntry: false });
  if (built === undefined) return true;
  const newestMs = Math.max(
    ...['web', 'shared', 'package-lock.json'].map((path) => newestChangeMs(root + path)),
  );
  return newestMs > built.mtimeMs;
}

/** A folder counts with its own time, so that a removed file is seen too. */
function newestChangeMs(path) {
  const found = statSync(path, { throwIfNoEntry: false });
  if (found === undefined) return 0;
  if (!found.isDirectory()) return found.mtimeMs;
  const entries = readdirSync(path).filter((name) => name !== 'dist');
  return Math.max(found.mtimeMs, ...entries.map((name) => newestChangeMs(`${path}/${name}`)));
}
