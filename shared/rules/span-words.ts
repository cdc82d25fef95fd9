import { clock, duration } from '../words/plain.ts';
import type { WasBlindFacts } from './facts.ts';
import { type RuleDefinition, type Subject, wordsOf } from './rule.ts';

/** The words of an alarm about a span that is over already: what, from when to when, for how long. */
export function spanWords(
  what: string,
  definition: Pick<RuleDefinition, 'cause' | 'consequence' | 'action'>,
) {
  return wordsOf('was-blind', ({ placeName, facts, reader }: Subject<WasBlindFacts>) => {
    const { fromMs, toMs } = facts;
    const span = `from ${clock(fromMs, reader)} to ${clock(toMs, reader)} (${duration(toMs - fromMs)})`;
    return {
      headline: `${placeName}: ${what} ${span}.`,
      detail: `${definition.cause} ${definition.consequence}`,
      action: definition.action,
    };
  });
}
