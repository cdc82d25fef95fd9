import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';
import { ALIVE_EVERY_MS } from '../../../../server/commands/serve/watchdog.ts';
import { toolPath } from '../../../support/environment.ts';

const UNIT = fileURLToPath(new URL('../../../../server/release/strikewell.service', import.meta.url));
const MOST_EXPOSURE = 2.5;

test('systemd-analyze rates the exposure of the service at less than 2.5 of 10', () => {
  const args = ['security', '--offline=yes', '--no-pager', UNIT];
  const { stdout } = spawnSync(toolPath('systemdAnalyze'), args, { encoding: 'utf8' });
  const exposure = Number(/Overall exposure level for .*: ([\d.]+)/.exec(stdout)?.[1]);
  expect(exposure).toBeGreaterThan(0);
  expect(exposure).toBeLessThan(MOST_EXPOSURE);
});

test('the watchdog waits for 9 signs of life to be missed before it starts the daemon again', () => {
  const unit = readFileSync(UNIT, 'utf8');
  const [, minutes] = /^WatchdogSec=(\d+)min$/m.exec(unit) ?? [];
  expect((Number(minutes) * 60_000) / ALIVE_EVERY_MS).toBe(9);
  expect(unit).toMatch(/^Type=notify$/m);
  expect(unit).toMatch(/^Restart=always$/m);
});
