import { clock } from '../../words/plain.ts';
import type { FilmExpectedFacts } from '../facts.ts';
import { type AlarmWords, onlyHeadline, type RuleDefinition, type Subject, wordsOf } from '../rule.ts';

const ACTION = 'Mist more often, or shade, while the light lasts.';

/** A film of water that dries out before the next pulse: an early notice, never a high alarm by itself. */
export const filmDryingExpected = {
  id: 'film-drying-expected',
  name: 'leaves expected to dry before the next mist',
  priority: 'low',
  respondWithinMin: 15,
  group: null,
  cause: 'Usually strong light or dry air for the interval that is set.',
  consequence: 'Cuttings without roots lose water they cannot replace.',
  action: ACTION,
  clause: {
    is: 'leaves expected to dry before the next mist',
    was: 'leaves were expected to dry before the next mist',
  },
  words: wordsOf('film-expected', words),
} as const satisfies RuleDefinition;

function words({ placeName, facts, isOver, reader }: Subject<FilmExpectedFacts>): AlarmWords {
  const { dryMs, nextMs, filmMin, everyMin } = facts;
  if (isOver) return onlyHeadline(`${placeName}: leaves stay wet from mist to mist again.`);
  const earlyMin = Math.max(1, Math.round((nextMs - dryMs) / 60_000));
  return {
    headline: `${placeName}: leaves dry at about ${clock(dryMs, reader)}, ${earlyMin} min before the next mist.`,
    detail: `An estimate: in this air and light a film lasts ${filmMin} min, and mist comes every ${everyMin} min.`,
    action: ACTION,
  };
}
