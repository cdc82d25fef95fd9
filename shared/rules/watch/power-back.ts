import type { RuleDefinition } from '../rule.ts';
import { spanWords } from '../span-words.ts';

const said = {
  cause: 'Usually the power was off.',
  consequence: 'Mats, mist timers and thermostats do not all start again by themselves.',
  action: 'Check that the mat is warm and the mist runs.',
};

/** A whole place reports again: what stopped with it may not have started again. */
export const powerBack = {
  ...said,
  id: 'power-back',
  name: 'readings are back after a gap',
  priority: 'low',
  respondWithinMin: 240,
  group: null,
  clause: { is: 'data gap (ended)', was: 'data gap (ended)' },
  words: spanWords('readings are back after a gap', said),
} as const satisfies RuleDefinition;
