import { RULES } from '../../rules/rules.ts';
import { judged, type MorningQuestion, type PlaceAnswer, type PlaceNight, timeWords } from './piece.ts';

const CHANGE_NAMES = {
  targets: 'targets changed',
  vent: 'vent entered',
  stage: 'stage entered',
  move: 'batch moved',
  count: 'cuttings counted',
  correction: 'probe corrected',
} as const;
const MOST_CHANGES = 4;

function changed(one: PlaceNight): PlaceAnswer {
  const { changes, raised } = one.row.facts;
  const listed = changes.slice(0, MOST_CHANGES).map(({ at, kind, what }) => {
    const note = what === null ? '' : ` (${what})`;
    return `${CHANGE_NAMES[kind]} at ${timeWords(at, one)}${note}`;
  });
  const more = changes.length > MOST_CHANGES ? [`${changes.length - MOST_CHANGES} more changes`] : [];
  const entered =
    changes.length === 0 ? 'Nothing was entered.' : `Entered: ${[...listed, ...more].join(', ')}.`;
  const called = raised.slice(0, MOST_CHANGES).map((alarm) => {
    const who = alarm.notified.length === 0 ? 'no message arrived' : `${alarm.notified.join(', ')} notified`;
    const by = alarm.acknowledgedBy ?? 'somebody';
    const answer =
      alarm.acknowledgedAt === null
        ? 'nobody acknowledged'
        : `${by} acknowledged at ${timeWords(alarm.acknowledgedAt, one)}`;
    return `Alarm at ${timeWords(alarm.at, one)}, ${RULES[alarm.rule].name}: ${who}; ${answer}.`;
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
