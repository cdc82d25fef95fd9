import type { RecordStore } from '../../ports.ts';

/** Opens a record again that could only be opened for reading. */
export type OpenAgain = {
  /** whether its folder takes what is written by now */
  mayWrite(): boolean;
  /** for writing. @throws when it still cannot be */
  write(): RecordStore;
  read(): RecordStore;
};

/** A record, which is opened again where it could only be opened for reading. */
export function reopened(first: RecordStore, again: OpenAgain | null) {
  let record = first;
  let left = again;
  return {
    record: () => record,
    /** @returns whether it is open for writing */
    openAgain(): boolean {
      const opening = left;
      if (opening === null) return true;
      if (!opening.mayWrite()) return false;
      // a file that this process has open for reading only could not be opened for writing beside it
      record.close();
      try {
        record = opening.write();
        left = null;
        return true;
      } catch {
        record = opening.read();
        return false;
      }
    },
  };
}
