import { KILLS } from './kills.ts';
import type { FaultCase } from './outcome.ts';

/** Every fault that is brought about, in the order of the table. */
export const FAULTS: readonly FaultCase[] = [...KILLS];
