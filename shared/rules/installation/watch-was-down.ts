import type { RuleDefinition } from '../rule.ts';
import { spanWords } from '../span-words.ts';

const said = {
  cause: 'The daemon or its machine was down.',
  consequence: 'No alarm could be raised in that time.',
  action: 'Look at the cuttings; then find out why it stopped.',
};

/** Monitoring was down. */
export const watchWasDown = {
  ...said,
  id: 'watch-was-down',
  name: 'monitoring was down',
  priority: 'medium',
  respondWithinMin: 240,
  group: null,
  clause: { is: 'monitoring was down', was: 'monitoring was down' },
  words: spanWords('monitoring was down', said),
} as const satisfies RuleDefinition;
