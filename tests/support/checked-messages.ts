import { afterEach } from 'vitest';
import { takeFaults } from './sent-check.ts';

/** What the daemon sent a test, on topics and over the live feed, fits its schema; else the test fails. */
afterEach(() => {
  const faults = takeFaults();
  if (faults.length > 0) throw new Error(`${faults.length} messages fit no schema: ${faults[0]}`);
});
