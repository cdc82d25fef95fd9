import { spawnSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';
import { deviceHeader } from '../../../../web/devices/device-settings.ts';
import { plainEnvironment, toolPath } from '../../../support/environment.ts';
import { temporaryFolder } from '../../../support/folders.ts';

const node = fileURLToPath(new URL('../../../../firmware-contracts/reference/node/', import.meta.url));
const shown = deviceHeader(
  { device: 'bench-1', secret: 'S3CRET' },
  { address: 'mqtt://0.0.0.0:1883', secureAddress: 'mqtts://0.0.0.0:8883', pageHost: 'bench.lan' },
);
const names = (text: string) => [...text.matchAll(/^#define (\w+)/gm)].map(([, name]) => name);
const PRINTS = `#include <stdio.h>
#include "settings.h"
int main(void) {
    return printf("%s %d %d %s %s", STRIKEWELL_HOST, STRIKEWELL_PORT, STRIKEWELL_TLS, STRIKEWELL_DEVICE,
                  STRIKEWELL_SECRET) < 0;
}
`;

test('the settings.h of the sketch defines the 5 names the page shows, and the sketch reads its device from it', () => {
  expect(names(readFileSync(join(node, 'settings.h'), 'utf8'))).toEqual(names(shown));
  expect(names(shown)).toHaveLength(5);
  expect(readFileSync(join(node, 'node.ino'), 'utf8')).toContain('DEVICE[] = STRIKEWELL_DEVICE;');
});

test('what the page shows is C99 without a warning, and a program reads from it what the page meant', () => {
  const folder = temporaryFolder('settings');
  writeFileSync(join(folder, 'settings.h'), `${shown}\n`);
  writeFileSync(join(folder, 'prints.c'), PRINTS);
  const run = (command: string, args: string[]) =>
    spawnSync(command, args, { encoding: 'utf8', env: plainEnvironment() });
  const strict = ['-std=c99', '-Wall', '-Wextra', '-Werror', '-pedantic'];
  const made = run(toolPath('cc'), [...strict, join(folder, 'prints.c'), '-o', join(folder, 'prints')]);
  expect(made.stderr).toBe('');
  expect(run(join(folder, 'prints'), []).stdout).toBe('bench.lan 8883 1 bench-1 S3CRET');
});
