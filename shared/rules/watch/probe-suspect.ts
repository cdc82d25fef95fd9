import { clock } from '../../words/plain.ts';
import type { ProbeSuspectFacts } from '../facts.ts';
import { type AlarmWords, onlyHeadline, type RuleDefinition, type Subject, wordsOf } from '../rule.ts';

const ACTION = 'Check the probe; compare it with another.';

/** Probes whose readings look wrong. */
export const probeSuspect = {
  id: 'probe-suspect',
  name: 'a probe is suspect',
  priority: 'low',
  respondWithinMin: 1440,
  group: null,
  cause: 'Usually a wet, sunlit or failing sensor.',
  consequence: 'Its readings may be wrong, and an alarm may not come.',
  action: ACTION,
  clause: { is: 'suspect probe', was: 'had a suspect probe' },
  words: wordsOf('probe-suspect', words),
} as const satisfies RuleDefinition;

function words({ placeName, facts, isOver, reader }: Subject<ProbeSuspectFacts>): AlarmWords {
  if (isOver) return onlyHeadline(`${placeName}: no probe is suspect any more.`);
  const { findings } = facts;
  const said = findings.map(
    ({ probe, finding, sinceMs }) => `${probe}: ${finding} since ${clock(sinceMs, reader)}`,
  );
  const which = findings.length === 1 ? 'a probe is suspect' : `${findings.length} probes are suspect`;
  return { headline: `${placeName}: ${which}.`, detail: `${said.join('; ')}.`, action: ACTION };
}
