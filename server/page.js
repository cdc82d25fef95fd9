import { spawn, spawnSync } from 'node:child_process';
import { existsSync, readdirSync, renameSync, rmSync, statSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

const root = fileURLToPath(new URL('..', import.meta.url));
const viteCommand = `${root}node_modules/vite/bin/vite.js`;
const buildArguments = [viteCommand, 'build', '--config', 'web/vite.config.ts', '--logLevel', 'warn'];

/**
 * Builds the page when it is missing or older than a source of it.
 * @returns null when it is as new as its sources, else why it is not; a start goes on with whatever page there is
 */
export function pageComplaint() {
  if (!isPageStale()) return null;
  const there = existsSync(`${root}web/dist/index.html`);
  const served = there
    ? 'the page that is there, which is older than its sources, is served'
    : 'there is no page: monitoring and alarms run without it';
  if (!existsSync(viteCommand))
    return `The page cannot be built, as its build tool is not installed; ${served}. "npm ci" installs it.`;
  console.error('building the page…');
  if (buildAside()) return null;
  return `The page could not be built, as the lines above say; ${served}.`;
}

/** Builds the page when it is missing or older than a source of it; throws when it cannot be built. */
export function ensurePageBuilt() {
  const complaint = pageComplaint();
  if (complaint !== null) throw new Error(complaint);
}

/** Builds beside the page that may be served meanwhile, and puts the new one in its place whole. */
function buildAside() {
  const fresh = `${root}web/.dist-${process.pid}`;
  const old = `${root}web/.dist-old-${process.pid}`;
  try {
    const built = spawnSync(process.execPath, [...buildArguments, '--outDir', fresh, '--emptyOutDir'], {
      cwd: root,
      stdio: ['ignore', 2, 2],
    });
    if (built.status !== 0 || !existsSync(`${fresh}/index.html`)) return false;
    if (existsSync(`${root}web/dist`)) renameSync(`${root}web/dist`, old);
    renameSync(fresh, `${root}web/dist`);
    return true;
  } catch (cause) {
    console.error(cause instanceof Error ? cause.message : String(cause));
    return false;
  } finally {
    for (const folder of [fresh, old]) rmSync(folder, { recursive: true, force: true });
  }
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
  const entries = readdirSync(path).filter((name) => !/^(dist$|\.dist-)/.test(name));
  return Math.max(found.mtimeMs, ...entries.map((name) => newestChangeMs(`${path}/${name}`)));
}
