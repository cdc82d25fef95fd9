import { renameSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { toolPath } from './environment.ts';
import { temporaryFolder } from './folders.ts';

export type WallClock = {
  /** what a program's environment must hold to have this wall clock */
  readonly settings: Readonly<Record<string, string>>;
  /** sets it, by so many seconds from the machine's; programs that run see it at their next look */
  set(aheadS: number): void;
};

/**
 * A wall clock that can be set while programs run by it: libfaketime, which leaves the clocks alone that nobody can
 * set.
 *
 * @param aheadS by how many seconds it is ahead at first
 */
export function wallClock(aheadS = 0): WallClock {
  const file = join(temporaryFolder('clock'), 'offset');
  const set = (seconds: number) => {
    // whole at every moment: it is read at each look
    writeFileSync(`${file}.new`, `${seconds < 0 ? '' : '+'}${seconds}\n`);
    renameSync(`${file}.new`, file);
  };
  set(aheadS);
  return {
    settings: {
      LD_PRELOAD: toolPath('faketime'),
      FAKETIME_TIMESTAMP_FILE: file,
      FAKETIME_NO_CACHE: '1',
      FAKETIME_DONT_FAKE_MONOTONIC: '1',
      DONT_FAKE_MONOTONIC: '1',
      // the test asks files by their real times
      NO_FAKE_STAT: '1',
    },
    set,
  };
}
