import type { Ladder, NewWay, Person, Quiet, Way } from '../../shared/model/people.ts';
import type { DeliveryView } from '../../shared/wire/people.ts';
import type { Reader } from '../../shared/words/alarm.ts';
import { WAY_WORDS } from '../../shared/words/people.ts';
import { momentWords } from './time.ts';

/** How a way is told apart from others of the same person. */
export function wayName(way: Way | NewWay): string {
  if (way.kind === 'mail') return `${WAY_WORDS.mail} to ${way.address}`;
  if (way.kind === 'webhook') return `${WAY_WORDS.webhook} at ${way.url}`;
  return `${WAY_WORDS.push} on ${way.name}`;
}

/** Quiet hours as a clause. */
export function quietWords(quiet: Quiet | null): string {
  return quiet === null ? 'no quiet hours' : `quiet from ${quiet.from} to ${quiet.to}`;
}

/** What happens when an alarm is raised, one line a step, in plain words. */
export function ladderLines(ladder: Ladder, people: readonly Person[]): string[] {
  const rungs = ladder.steps.flatMap(({ personId, afterMin }) => {
    const person = people.find(({ id }) => id === personId);
    return person && person.ways.length > 0 ? [{ name: person.name, afterMin }] : [];
  });
  if (rungs.length === 0) return ['Nobody is called: add a person and a way to reach them.'];
  return rungs.map(({ name, afterMin }, i) =>
    i === 0
      ? `${name} is told at once.`
      : `${name} is told after ${afterMin} min, if nobody has acknowledged by then.`,
  );
}

/** How the three priorities are told. */
export function priorityLines({ repeatMin, morningAt }: Ladder): string[] {
  return [
    `High: also in quiet hours, and again every ${repeatMin} min until somebody acknowledges.`,
    'Medium: after a person’s quiet hours are over.',
    `Low: in one message on the morning sheet at ${morningAt}, to whoever is first.`,
  ];
}

/** People nobody can reach, and why that matters. */
export function unreachable(people: readonly Person[]): string[] {
  return people.filter(({ ways }) => ways.length === 0).map(({ name }) => name);
}

const TYPE_WORDS: Readonly<Record<string, string>> = {
  'alarm.raised': 'raised',
  'alarm.repeated': 'told again',
  'alarm.returned': 'returned to normal',
  'alarm.re-alarmed': 'asked again',
};

/** What has become of a message, in one line. */
export function deliveryWords(message: DeliveryView, reader: Reader): string {
  const moment = (at: string | null) => (at === null ? '' : momentWords({ atMs: Date.parse(at), ...reader }));
  const what = TYPE_WORDS[message.type] ?? message.type.replace('alarm.', '');
  const of = `${message.to}: ${what}`;
  const why = message.error === null ? '' : `: ${message.error}`;
  switch (message.state) {
    case 'sent':
      return `${of}, sent ${moment(message.sentAt)}`;
    case 'waiting':
      return `${of}, waiting to be sent`;
    case 'failed':
      return `${of}, not taken yet, tried ${message.attempts} times${why}; again ${moment(message.nextAt)}`;
    case 'given-up':
      return `${of}, given up${why}`;
  }
}

/** The steps with one person moved by one place; the minutes stay with the rungs. */
export function moved(ladder: Ladder, { from, by }: { from: number; by: 1 | -1 }): Ladder {
  const ids = ladder.steps.map(({ personId }) => personId);
  const [person] = ids.splice(from, 1);
  if (person === undefined) return ladder;
  ids.splice(from + by, 0, person);
  return { ...ladder, steps: ladder.steps.map(({ afterMin }, i) => ({ personId: ids[i] ?? 0, afterMin })) };
}
