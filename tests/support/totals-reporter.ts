import { writeFileSync } from 'node:fs';
import type { Reporter, SerializedError, TestModule } from 'vitest/node';

export type Totals = { readonly passed: number; readonly failed: number; readonly leftOut: number };

/**
 * Counts a run: a file that could not be loaded and an error outside any test each count as one failure.
 *
 * @param modules every test file of the run
 * @param strayErrors number of errors outside any test
 * @returns how many tests passed, failed, and were left out
 */
export function totalsOf(modules: readonly TestModule[], strayErrors: number): Totals {
  const states = modules.flatMap((module) =>
    [...module.children.allTests()].map((test) => test.result().state),
  );
  const brokenFiles = modules.filter((module) => module.errors().length > 0).length;
  const brokenSuites = modules
    .flatMap((module) => [...module.children.allSuites()])
    .filter((suite) => suite.errors().length > 0).length;
  const passed = states.filter((state) => state === 'passed').length;
  const failed = states.filter((state) => state === 'failed').length;
  return {
    passed,
    failed: failed + brokenFiles + brokenSuites + strayErrors,
    leftOut: states.length - passed - failed,
  };
}

/** Leaves the totals of a run in a file, for the runner to say last. */
export class TotalsReporter implements Reporter {
  readonly #file: string;

  constructor(file: string) {
    this.#file = file;
  }

  onTestRunEnd(modules: readonly TestModule[], errors: readonly SerializedError[]): void {
    writeFileSync(this.#file, JSON.stringify(totalsOf(modules, errors.length)));
  }
}
