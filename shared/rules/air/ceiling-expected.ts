import { clock, type Reader, temperature } from '../../words/plain.ts';
import type { CeilingExpectedFacts } from '../facts.ts';
import { type AlarmWords, onlyHeadline, type RuleDefinition, type Subject, wordsOf } from '../rule.ts';

const ACTION = 'Shade it, or open any cover, before then.';

/** Air that is expected to reach its ceiling, by the forecast of its place: an early notice, never a high alarm by itself. */
export const ceilingExpected = {
  id: 'ceiling-expected',
  name: 'air expected to reach its ceiling',
  priority: 'low',
  respondWithinMin: 60,
  group: null,
  cause: 'Usually the sun.',
  consequence: 'Air above its ceiling cooks cuttings without roots.',
  action: ACTION,
  clause: { is: 'air expected to reach its ceiling', was: 'air was expected to reach its ceiling' },
  words: wordsOf('ceiling-expected', words),
} as const satisfies RuleDefinition;

function words({ placeName, facts, isOver, reader }: Subject<CeilingExpectedFacts>): AlarmWords {
  const ceiling = temperature(facts.ceilingC, reader);
  if (isOver)
    return onlyHeadline(`${placeName}: the early notice about the ceiling of ${ceiling} has ended.`);
  return {
    headline: `${placeName}: air reaches its ceiling of ${ceiling} at ${expectedWords(facts, reader)} ${ifWords(facts)}.`,
    detail: `An estimate from the record of this place. Air ${temperature(facts.valueC, reader)} at ${clock(facts.atMs, reader)}.`,
    action: ACTION,
  };
}

type Expected = Pick<CeilingExpectedFacts, 'expectedMs' | 'earliestMs' | 'latestMs'>;

/** "13:40 (13:25–14:10)", or "13:40 (13:25 or later)" where it may not come to it within two hours. */
function expectedWords(
  { expectedMs, earliestMs, latestMs }: Expected,
  reader: Pick<Reader, 'timeZone' | 'nowMs'>,
): string {
  const earliest = clock(earliestMs, reader);
  const span = latestMs === null ? `${earliest} or later` : `${earliest}–${clock(latestMs, reader)}`;
  return `${clock(expectedMs, reader)} (${span})`;
}

function ifWords({ byDay }: Pick<CeilingExpectedFacts, 'byDay'>): string {
  return byDay ? 'if the sun stays' : 'if nothing changes';
}
