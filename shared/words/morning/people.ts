import { RULES } from '../../rules/rules.ts';
import { clock } from '../plain.ts';
import { judged, type MorningQuestion, type PlaceAnswer, type PlaceNight } from './piece.ts';

const CHANGE_NAMES = {
  targets: 'targets changed',
  vent: 'vent entered',
  stage: 'stage entered',
  move: 'batch moved',
  count: 'cuttings counted',
  correction: 'probe corrected',
} as const;
const MOST_CHANGES = 4;

function changed({ row, reader }: PlaceNight): PlaceAnswer {
  const { changes, raised } = row.facts;
  const listed = changes.slice(0, MOST_CHANGES).map(({ at, kind, what }) => {
    const note = what === null ? '' : ` (${what})`;
    return `${CHANGE_NAMES[kind]} at ${clock(Date.parse(at), reader)}${note}`;
  });
  const more = changes.length > MOST_CHANGES ? [`${changes.length - MOST_CHANGES} more changes`] : [];
  const entered =
    changes.length === 0 ? 'Nothing was entered.' : `Entered: ${[...listed, ...more].join(', ')}.`;
  const called = raised.slice(0, MOST_CHANGES).map((one) => {
    const who = one.notified.length === 0 ? 'no message arrived' : `${one.notified.join(', ')} notified`;
    const by = one.acknowledgedBy ?? 'somebody';
    const answer =
      one.acknowledgedAt === null
        ? 'nobody acknowledged'
        : `${by} acknowledged at ${clock(Date.parse(one.acknowledgedAt), reader)}`;
    return `Alarm at ${clock(Date.parse(one.at), reader)}, ${RULES[one.rule].name}: ${who}; ${answer}.`;
  });
  const rest = raised.length > MOST_CHANGES ? [`And ${raised.length - MOST_CHANGES} more alarms.`] : [];
  const none = raised.length === 0 ? ['No alarm was raised.'] : [];
  return judged(changes.length > 0 || raised.length > 0, [entered, ...called, ...rest, ...none].join(' '));
}

/** What people did, and who was notified. */
export const PEOPLE_QUESTIONS: readonly MorningQuestion[] = [
  {
    question: 'What was changed since yesterday, who was notified, and did they answer?',
    of: changed,
    fine: (count) =>
      count === 1 ? '1 place: nothing entered, no alarm.' : `${count} places: nothing entered, no alarm.`,
  },
];
