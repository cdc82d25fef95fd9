import { describe, expect, test } from 'vitest';
import { importCircles, importFaults, importsOf } from './import-check.ts';
import { reachFaults } from './reach-check.ts';
import { codeFiles, type SourceFile } from './sources.ts';

const importing = (path: string, target: string): SourceFile => ({
  path,
  text: `import { a } from '${target}';`,
});

describe('the import table', () => {
  test('holds for every file, without an exception', () => {
    expect(importFaults(codeFiles())).toEqual([]);
  });

  test('is held by no circle of files, types included', () => {
    expect(importCircles(codeFiles())).toEqual([]);
  });

  test('sees all 8 ways to import', () => {
    const text = [
      "import { a } from 'a';",
      "import type { B } from 'b';",
      "import 'c';",
      "export { d } from 'd';",
      "export * from 'e';",
      "const f = await import('f');",
      "type G = import('g').G;",
      "const h = require('h');",
    ].join('\n');
    expect(importsOf({ path: 'a.ts', text }).map(({ target }) => target)).toEqual([...'abcdefgh']);
  });

  test.each([
    ['shared/climate/a.ts', '../exposure/a.ts'],
    ['shared/climate/a.ts', 'zod'],
    ['shared/exposure/a.ts', '../quantities.ts'],
    ['shared/model/a.ts', 'luxon'],
    ['shared/model/a.ts', '../../server/ports.ts'],
    ['shared/model/a.ts', 'node:fs'],
    ['firmware-contracts/v1/a.ts', 'node:fs'],
    ['firmware-contracts/generate.ts', 'node:net'],
    ['server/domain/alarms/a.ts', 'luxon'],
    ['server/domain/alarms/a.ts', '../../ports.ts'],
    ['server/domain/alarms/a.ts', 'node:crypto'],
    ['server/ports.ts', './adapters/sqlite/store.ts'],
    ['server/adapters/mqtt/a.ts', '../broker/a.ts'],
    ['server/adapters/mqtt/a.ts', 'aedes'],
    ['server/adapters/http/a.ts', '../../daemon.ts'],
    ['server/adapters/http/a.ts', 'fs'],
    ['server/adapters/http/a.ts', 'node:perf_hooks'],
    ['server/adapters/http/a.ts', 'node:process'],
    ['server/adapters/cellar/a.ts', '../../ports.ts'],
    ['server/daemon/daemon.ts', '../adapters/sqlite/store.ts'],
    ['server/daemon/world/a.ts', '../notify/annunciate.ts'],
    ['server/daemon/readout/a.ts', '../evaluate/judge.ts'],
    ['server/daemon/cellar/a.ts', '../../adapters/sqlite/store.ts'],
    ['server/main.ts', '../web/api.ts'],
    ['server/main.ts', '../tests/support/ports.ts'],
    ['server/main.ts', 'express'],
    ['web/a.ts', '../server/ports.ts'],
    ['web/a.ts', 'chart.js'],
    ['web/views/a.tsx', '@preact/signals-core'],
    ['cellar/a.ts', './b.ts'],
  ])('refuses that %s imports %s', (path, target) => {
    expect(importFaults([importing(path, target)])).toHaveLength(1);
  });

  test.each([
    ['shared/climate/a.ts', '../quantities.ts'],
    ['shared/model/a.ts', 'zod'],
    ['server/domain/calendar/a.ts', 'luxon'],
    ['server/domain/alarms/a.ts', '../../../shared/faults.ts'],
    ['server/adapters/mqtt/a.ts', 'mqtt'],
    ['server/adapters/sqlite/a.ts', '../../ports.ts'],
    ['server/adapters/broker/a.ts', 'node:net'],
    ['web/charts/a.ts', 'chart.js'],
    ['web/views/a.tsx', 'preact/hooks'],
    ['tests/unit/a.test.ts', '../../server/main.ts'],
  ])('allows that %s imports %s', (path, target) => {
    expect(importFaults([importing(path, target)])).toEqual([]);
  });

  test('refuses an import whose target is only known when it runs', () => {
    expect(importFaults([{ path: 'server/main.ts', text: 'await import(name);' }])).toHaveLength(1);
  });

  test('finds a circle of 3 files that is closed by a type only', () => {
    const files = [
      importing('shared/a.ts', './b.ts'),
      importing('shared/b.ts', './c.ts'),
      { path: 'shared/c.ts', text: "import type { A } from './a.ts';" },
    ];
    expect(importCircles(files)).toEqual(['shared/a.ts → shared/b.ts → shared/c.ts → shared/a.ts']);
  });
});

describe('what no import shows', () => {
  test('only its own rooms reach for the clock, timers, chance, the console and the process', () => {
    expect(codeFiles().flatMap(reachFaults)).toEqual([]);
  });

  test.each([
    ['server/adapters/sqlite/a.ts', 'Date.now();'],
    ['web/views/a.tsx', 'Date.now();'],
    ['server/daemon.ts', 'new Date();'],
    ['server/daemon.ts', 'new Date;'],
    ['shared/a.ts', 'globalThis.Date.now();'],
    ['shared/a.ts', "Date['now']();"],
    ['server/commands/demo.ts', 'performance.now();'],
    ['server/domain/calendar/a.ts', 'DateTime.now();'],
    ['server/domain/a.ts', 'setTimeout(f, 1);'],
    ['shared/a.ts', 'setInterval(f, 1);'],
    ['server/domain/a.ts', 'Math.random();'],
    ['shared/a.ts', 'console.log(1);'],
    ['server/config.ts', 'f(process.env.HOME);'],
    ['server/config.ts', 'const { env } = process;'],
    ['server/adapters/http/a.ts', "process.on('SIGTERM', f);"],
    ['firmware-contracts/generate.ts', 'process.argv[2];'],
  ])('refuses in %s: %s', (path, text) => {
    expect(reachFaults({ path, text })).toHaveLength(1);
  });

  test.each([
    ['server/adapters/system/clock.ts', 'Date.now();'],
    ['server/domain/a.ts', 'new Date(0);'],
    ['server/adapters/notify/a.ts', 'setTimeout(f, 1);'],
    ['server/main.ts', 'f(process.env);'],
    ['web/state.ts', 'Date.now();'],
  ])('allows in %s: %s', (path, text) => {
    expect(reachFaults({ path, text })).toEqual([]);
  });
});
