import { existsSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { expect, onTestFinished, test } from 'vitest';
import { reserveFile } from '../../../../../../server/adapters/system/files/reserve.ts';
import { removeFolder, temporaryFolder } from '../../../../../support/folders.ts';

test('the reserve takes real blocks, for its owner alone, and is made again after it was given up', () => {
  const folder = temporaryFolder('reserve');
  onTestFinished(() => removeFolder(folder));
  const reserve = reserveFile(folder);
  const file = join(folder, 'strikewell.reserve');
  const { wantedBytes } = reserve.facts();
  expect(wantedBytes).toBeGreaterThan(0);
  expect(wantedBytes).toBeLessThanOrEqual(8 * 1024 * 1024);
  expect(reserve.restore()).toBe(true);
  const { size, blocks, mode } = statSync(file);
  expect(size).toBe(wantedBytes);
  expect(blocks * 512).toBeGreaterThanOrEqual(wantedBytes);
  expect(mode & 0o777).toBe(0o600);
  reserve.giveUp();
  expect(existsSync(file)).toBe(false);
  expect(reserve.facts()).toEqual({ bytes: 0, wantedBytes, givenUp: true });
  expect(reserve.restore()).toBe(true);
  expect(reserve.facts()).toEqual({ bytes: wantedBytes, wantedBytes, givenUp: false });
});
