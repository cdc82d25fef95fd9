import { spawn, spawnSync } from 'node:child_process';
import {
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  utimesSync,
} from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { PAGE_DIR, pageState } from './page-state.ts';

const ROOT = fileURLToPath(new URL('..', import.meta.url));
const VITE = `${ROOT}node_modules/vite/bin/vite.js`;
const BUILD = [VITE, 'build', '--config', 'web/vite.config.ts', '--logLevel', 'warn'];
const BEGUN = '.building-';
/** A build that was begun this long before another, and is still not published, came to no end, ms. */
const ABANDONED_AFTER_MS = 3_600_000;

/**
 * Builds the page when it is missing or older than a source of it, where that is possible. What was built before is
 * there until all of the new page is.
 * @returns what a person should know about the page that will be served, or null; never throws
 */
export function readyPage(): string | null {
  if (pageState() === 'current') return null;
  const why = existsSync(VITE) ? builtAgain() : 'vite is not installed: run "npm ci" to build it';
  if (why === null) return null;
  return pageState() === 'missing'
    ? `There is no page (${why}). Readings are recorded and alarms go out without it.`
    : `The page is older than its sources (${why}). It is served as it is.`;
}

/** Builds the page again at every change of a source, until this process ends. */
export function watchPage(): void {
  if (!existsSync(VITE)) return;
  const watcher = spawn(process.execPath, [...BUILD, '--watch'], { cwd: ROOT, stdio: ['ignore', 2, 2] });
  watcher.unref();
  process.on('exit', () => watcher.kill());
}

/** @returns why it could not be built, or null */
function builtAgain(): string | null {
  console.error('building the page…');
  const begun = join(PAGE_DIR, `${BEGUN}${process.pid}`);
  try {
    mkdirSync(begun, { recursive: true });
    const begunMs = statSync(begun).mtimeMs;
    const outDir = ['--outDir', begun, '--emptyOutDir'];
    const built = spawnSync(process.execPath, [...BUILD, ...outDir], { cwd: ROOT, stdio: ['ignore', 2, 2] });
    if (built.status !== 0) return 'it could not be built; the lines above say why';
    publish(begun, begunMs);
    return null;
  } catch (cause) {
    return `it could not be built: ${cause instanceof Error ? cause.message : String(cause)}`;
  } finally {
    rmSync(begun, { recursive: true, force: true });
  }
}

/**
 * Puts a built page in place file by file, `index.html` last, so that at each moment a whole page is served. The files
 * of the page before stay for who has it open; those before go.
 */
function publish(begun: string, begunMs: number): void {
  const before = filesOf(PAGE_DIR);
  const built = filesUnder(begun);
  for (const file of built.filter((name) => name !== 'index.html')) {
    mkdirSync(dirname(join(PAGE_DIR, file)), { recursive: true });
    renameSync(join(begun, file), join(PAGE_DIR, file));
  }
  // a source that changed while it was built is newer than the page
  const asOf = Math.ceil(begunMs) / 1000;
  utimesSync(join(begun, 'index.html'), asOf, asOf);
  renameSync(join(begun, 'index.html'), join(PAGE_DIR, 'index.html'));
  const kept = new Set([...built, ...before]);
  for (const file of filesUnder(join(PAGE_DIR, 'assets')).map((name) => `assets/${name}`))
    if (!kept.has(file.replace(/\.(?:br|gz)$/, ''))) rmSync(join(PAGE_DIR, file), { force: true });
  removeAbandoned(begunMs);
}

function removeAbandoned(nowMs: number): void {
  for (const name of readdirSync(PAGE_DIR).filter((entry) => entry.startsWith(BEGUN))) {
    const madeMs = statSync(join(PAGE_DIR, name), { throwIfNoEntry: false })?.mtimeMs ?? nowMs;
    if (nowMs - madeMs > ABANDONED_AFTER_MS) rmSync(join(PAGE_DIR, name), { recursive: true, force: true });
  }
}

/** Files that a built page says belong to it; none where it does not say. */
function filesOf(folder: string): string[] {
  try {
    const text = readFileSync(join(folder, 'build.json'), 'utf8');
    const manifest: Record<string, { file?: string; css?: string[] }> = JSON.parse(text);
    return Object.values(manifest).flatMap(({ file, css = [] }) => [...(file ? [file] : []), ...css]);
  } catch {
    return [];
  }
}

function filesUnder(folder: string): string[] {
  if (!existsSync(folder)) return [];
  const entries = readdirSync(folder, { recursive: true, withFileTypes: true });
  return entries
    .filter((entry) => entry.isFile())
    .map((entry) => join(entry.parentPath, entry.name).slice(folder.length + 1));
}
