import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const made = new Set<string>();

process.once('exit', () => {
  for (const folder of made) removeFolder(folder);
});

/**
 * A new empty folder, removed at the end of the test process if nobody removed it before.
 *
 * @param purpose a word for its name
 * @returns its path
 */
export function temporaryFolder(purpose: string): string {
  const folder = mkdtempSync(join(tmpdir(), `strikewell-${purpose}-`));
  made.add(folder);
  return folder;
}

/**
 * Removes a folder and all that is in it.
 *
 * @param folder its path
 */
export function removeFolder(folder: string): void {
  rmSync(folder, { recursive: true, force: true, maxRetries: 5 });
  made.delete(folder);
}
