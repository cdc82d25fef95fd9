import { clock, difference, type Reader } from '../../words/plain.ts';
import type { NoDataFacts } from '../facts.ts';
import { type AlarmWords, onlyHeadline, type RuleDefinition, type Subject, wordsOf } from '../rule.ts';

/** Air that was within this of its ceiling when its probe stopped may be over it, K. PROPOSAL. */
export const NEAR_CEILING_K = 2;

const ACTION = 'Look at the cuttings, then at the probe, its plug and its battery.';

/** Probes of a place that stop while others of it go on. */
export const probeSilent = {
  id: 'probe-silent',
  name: 'probe not reporting',
  priority: 'medium',
  respondWithinMin: 60,
  group: 'silence',
  cause: 'Usually its plug, its cable or its battery.',
  consequence: 'What it measures is not being monitored.',
  action: ACTION,
  clause: { is: 'probe not reporting', was: 'probe was not reporting for a while' },
  words: wordsOf('no-data', words),
} as const satisfies RuleDefinition;

function words(subject: Subject<NoDataFacts>): AlarmWords {
  const { placeName, facts, isOver, returnedAtMs, reader, ruleName } = subject;
  const { silent, blind = [] } = facts;
  const probes = listed(silent.map(({ probe }) => probe));
  if (isOver)
    return onlyHeadline(
      `${placeName}: ${probes} reporting again at ${clock(returnedAtMs ?? reader.nowMs, reader)}.`,
    );
  const last = Math.max(...silent.map(({ lastMs }) => lastMs));
  const unjudged =
    blind.length === 0 ? 'No alarm rests on it.' : `Not judged meanwhile: ${listed(blind.map(ruleName))}.`;
  return {
    headline: `${placeName}: ${probes} not reporting since ${clock(last, reader)}${mattersWords(facts, reader)}.`,
    detail: `${unjudged} Usually its plug, its cable or its battery.`,
    action: ACTION,
  };
}

function mattersWords({ matters }: NoDataFacts, reader: Reader): string {
  switch (matters) {
    case 'heat':
      return '; nothing else measures the heat there';
    case 'near-ceiling':
      return `; the air was within ${difference(NEAR_CEILING_K, reader)} °${reader.unit} of its ceiling`;
    case 'mist':
      return '; mist cannot be judged, and there is light';
    default:
      return '';
  }
}

/** "a", "a and b", "a, b and c" */
function listed(names: readonly string[]): string {
  if (names.length < 2) return names.join();
  return `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`;
}
