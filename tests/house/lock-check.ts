import { readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

const LOCK = fileURLToPath(new URL('../../package-lock.json', import.meta.url));

type Lock = { readonly packages: Readonly<Record<string, { engines?: unknown }>> };

/**
 * The packages of a lock file that name an engine. npm holds it against the Node that runs npm, while all that is
 * installed runs on the Node that is installed with it; `server/node-version.js` says where that cannot be.
 *
 * @param lock the parsed lock file
 * @returns their paths
 */
export function packagesWithEngines(lock: Lock): string[] {
  return Object.entries(lock.packages).flatMap(([path, { engines }]) =>
    engines === undefined ? [] : [path],
  );
}

/** @returns the lock file of the project, parsed */
export function projectLock(): Lock {
  return JSON.parse(readFileSync(LOCK, 'utf8'));
}

if (import.meta.main) {
  const lock = projectLock();
  for (const each of Object.values(lock.packages)) delete each.engines;
  writeFileSync(LOCK, `${JSON.stringify(lock, null, 2)}\n`);
}
