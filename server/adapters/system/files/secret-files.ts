import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { readNamedFile } from './files.ts';

/**
 * Reads secrets from files that settings name, and from the folder in which systemd hands over credentials.
 *
 * @param folder that folder, or null where there is none
 */
export function secretFiles(folder: string | null) {
  return {
    named: (file: { readonly key: string; readonly path: string }): string =>
      readNamedFile(file).toString('utf8'),
    credential(key: string): string | null {
      if (folder === null) return null;
      const path = join(folder, key);
      return existsSync(path) ? readFileSync(path, 'utf8') : null;
    },
  };
}
