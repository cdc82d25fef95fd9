import { photosNamedIn } from '../adapters/sqlite/file/photos-named.ts';
import { backupFolder } from '../adapters/system/files/backup-folder.ts';
import { backUpPhotos, dropPhotos, photosBeside, photosIn } from '../adapters/system/files/photos.ts';
import type { BackupPhotos } from '../domain/backups/backup-service.ts';
import { recordFileIn } from './record-file.ts';

/** The photos beside a record, and beside its backups. */
export function backupPhotos(dataDir: string): BackupPhotos {
  const from = photosBeside(recordFileIn(dataDir));
  const to = photosBeside(backupFolder(dataDir).pathOf('any'));
  return {
    keep: () => backUpPhotos({ from, to }),
    drop(backups) {
      const inUse = new Set(photosIn(from));
      const spare = photosIn(to).filter((name) => !inUse.has(name));
      if (spare.length === 0) return;
      const needed = new Set(backups.flatMap(photosNamedIn));
      dropPhotos(
        to,
        spare.filter((name) => !needed.has(name)),
      );
    },
  };
}
