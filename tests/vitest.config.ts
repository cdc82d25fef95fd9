import { mkdirSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vitest/config';
import { LongFirst } from './support/long-first.ts';
import { TotalsReporter } from './support/totals-reporter.ts';

const root = fileURLToPath(new URL('..', import.meta.url));
const artefacts = `${root}tests/.artefacts`;
mkdirSync(artefacts, { recursive: true });

/** Journeys that measure delays, memory or the processor, or keep both cores busy: nothing else runs beside them. */
const ALONE = [
  'alarm',
  'faults',
  'few-descriptors',
  'full-disk',
  'full-disk-calls',
  'handover-storm',
  'hostile-broker',
  'overnight',
  'perf-smoke',
].map((name) => `tests/journey/${name}.test.ts`);

/** Nothing under test holds state of its own beside what is handed to it: files share a worker, and load the product once. */
const SHARING = ['unit/firmware-contracts', 'unit/server', 'unit/shared', 'truth'].map(
  (folder) => `tests/${folder}/**/*.test.ts`,
);

/** Files lie in memory where there is room; what runs alone writes to a disk. */
const inMemory = { TMPDIR: process.env['STRIKEWELL_TESTS_IN_MEMORY'] ?? tmpdir() };

export default defineConfig({
  root,
  test: {
    pool: 'forks',
    sequence: { sequencer: LongFirst },
    setupFiles: ['property-seed', 'checked-fetch', 'checked-messages'].map(
      (name) => `tests/support/${name}.ts`,
    ),
    reporters: ['default', new TotalsReporter(`${artefacts}/totals.json`)],
    projects: [
      {
        extends: true,
        test: {
          name: 'sharing',
          include: SHARING,
          isolate: false,
          env: inMemory,
          testTimeout: 90_000,
          hookTimeout: 90_000,
          maxWorkers: 2,
          sequence: { groupOrder: 0 },
        },
      },
      {
        extends: true,
        test: {
          name: 'parts',
          include: ['tests/**/*.test.ts'],
          exclude: ['tests/journey/**', ...SHARING],
          env: inMemory,
          // some tests let hours of a daemon pass: on a busy machine that takes its time
          testTimeout: 90_000,
          hookTimeout: 90_000,
          maxWorkers: 2,
          sequence: { groupOrder: 0 },
        },
      },
      {
        extends: true,
        test: {
          name: 'journeys',
          include: ['tests/journey/**/*.test.ts'],
          exclude: ALONE,
          env: inMemory,
          testTimeout: 120_000,
          hookTimeout: 120_000,
          maxWorkers: 2,
          sequence: { groupOrder: 1 },
        },
      },
      {
        extends: true,
        test: {
          name: 'alone',
          include: ALONE,
          testTimeout: 120_000,
          hookTimeout: 120_000,
          maxWorkers: 1,
          sequence: { groupOrder: 2 },
        },
      },
    ],
  },
});
