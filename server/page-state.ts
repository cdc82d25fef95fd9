import { existsSync, readdirSync, statSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { PageState } from '../shared/wire/http.ts';

const ROOT = fileURLToPath(new URL('..', import.meta.url));

/** The folder of the built page. */
export const PAGE_DIR = `${ROOT}web/dist`;
/** What the page is made of; a folder counts with its own time, so that a removed file is seen too. */
const SOURCES = ['web', 'shared', 'package-lock.json'];
/** A release brings the built page alone: it is what it is. */
const BUILT_BY = 'web/vite.config.ts';

/** Whether there is a built page, and whether a source of it has changed since. */
export function pageState(): PageState {
  const built = statSync(`${PAGE_DIR}/index.html`, { throwIfNoEntry: false });
  if (built === undefined) return 'missing';
  if (!existsSync(ROOT + BUILT_BY)) return 'current';
  const newestMs = Math.max(...SOURCES.map((path) => newestChangeMs(ROOT + path)));
  return newestMs > built.mtimeMs ? 'older' : 'current';
}

function newestChangeMs(path: string): number {
  const found = statSync(path, { throwIfNoEntry: false });
  if (found === undefined) return 0;
  if (!found.isDirectory()) return found.mtimeMs;
  const entries = readdirSync(path).filter((name) => name !== 'dist');
  return Math.max(found.mtimeMs, ...entries.map((name) => newestChangeMs(`${path}/${name}`)));
}
