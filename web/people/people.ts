import type {
  ContactMethod,
  Escalation,
  NewContactMethod,
  Person,
  Quiet,
} from '../../shared/model/people/people.ts';
import type { WeeklyTest } from '../../shared/model/people/weekly-test.ts';
import type { DeliveryView, RestoreGapView, TestView, WeeklyTestAnswer } from '../../shared/wire/people.ts';
import { duration, type Reader } from '../../shared/words/alarm.ts';
import { CONTACT_METHOD_WORDS, GAP_WORDS } from '../../shared/words/people.ts';
import { momentWords } from '../common/time.ts';

/** What distinguishes a contact method from others of the same person. */
export function contactMethodName(method: ContactMethod | NewContactMethod): string {
  if (method.kind === 'mail') return `${CONTACT_METHOD_WORDS.mail} to ${method.address}`;
  if (method.kind === 'webhook') return `${CONTACT_METHOD_WORDS.webhook} at ${method.url}`;
  return `${CONTACT_METHOD_WORDS.push} on ${method.name}`;
}

/** That a contact method needs to be set up again after a restore, and why. */
export function gapLine({ why, since }: RestoreGapView, reader: Reader): string {
  return `Needs to be set up again after the restore (${momentWords({ atMs: Date.parse(since), ...reader })}): ${GAP_WORDS[why]}.`;
}

/** Quiet hours as a clause. */
export function quietWords(quiet: Quiet | null): string {
  return quiet === null ? 'no quiet hours' : `quiet from ${quiet.from} to ${quiet.to}`;
}

/** What happens when an alarm is raised, one line a step, in plain words. */
export function escalationLines(escalation: Escalation, people: readonly Person[]): string[] {
  const lines = escalation.steps.flatMap(({ personId, afterMin }) => {
    const person = people.find(({ id }) => id === personId);
    return person && person.ways.length > 0 ? [{ name: person.name, afterMin }] : [];
  });
  if (lines.length === 0) return ['Nobody is called: add a person and a contact method.'];
  return lines.map(({ name, afterMin }, i) =>
    i === 0
      ? `${name} is notified at once.`
      : `${name} is notified after ${afterMin} min, if nobody has acknowledged by then.`,
  );
}

/** How alarms of the three priorities are sent. */
export function priorityLines({ repeatMin, morningAt }: Escalation): string[] {
  return [
    `High: also in quiet hours, and again every ${repeatMin} min until somebody acknowledges.`,
    'Medium: after a person’s quiet hours are over.',
    `Low: in one message on the morning sheet at ${morningAt}, to the first person.`,
  ];
}

/** People nobody can reach, and why that matters. */
export function unreachable(people: readonly Person[]): string[] {
  return people.filter(({ ways: methods }) => methods.length === 0).map(({ name }) => name);
}

const TYPE_WORDS: Readonly<Record<string, string>> = {
  'alarm.raised': 'raised',
  'alarm.repeated': 'sent again',
  'alarm.acknowledged': 'acknowledged by somebody',
  'alarm.returned': 'returned to normal',
  'alarm.re-alarmed': 'asked again',
};

/** The state of a message, in one line. */
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
      return `${of}, not delivered yet, tried ${message.attempts} times${why}; again ${moment(message.nextAt)}`;
    case 'given-up':
      return `${of}, failed, no more retries${why}`;
  }
}

/** The steps with one person moved by one place; the minutes stay with the steps. */
export function moved(escalation: Escalation, { from, by }: { from: number; by: 1 | -1 }): Escalation {
  const ids = escalation.steps.map(({ personId }) => personId);
  const [person] = ids.splice(from, 1);
  if (person === undefined) return escalation;
  ids.splice(from + by, 0, person);
  return {
    ...escalation,
    steps: escalation.steps.map(({ afterMin }, i) => ({ personId: ids[i] ?? 0, afterMin })),
  };
}

export const WEEKDAYS = [
  'Monday',
  'Tuesday',
  'Wednesday',
  'Thursday',
  'Friday',
  'Saturday',
  'Sunday',
] as const;

/** When the weekly test comes, and what happens to one that is not confirmed. */
export function weeklyLines(weekly: WeeklyTestAnswer, reader: Reader): string[] {
  if (!weekly.on) return ['No weekly test: nobody would notice a contact method that has stopped working.'];
  const { weekday, at, confirmWithinH, nextAt } = weekly;
  const next = nextAt === null ? '' : ` Next ${momentWords({ atMs: Date.parse(nextAt), ...reader })}.`;
  return [
    `Every ${WEEKDAYS[weekday - 1]} at ${at} (${reader.timeZone}) everybody gets a test by each of their contact methods.${next}`,
    `Confirm it by the link or the button in it, or here. After ${confirmWithinH} h without that, a low-priority alarm says who did not.`,
  ];
}

/** The state of a test, in one line, and whether that is bad. */
export function testWords(test: TestView, reader: Reader): { words: string; bad: boolean } {
  const moment = (at: string) => momentWords({ atMs: Date.parse(at), ...reader });
  const what = `${test.cause === 'weekly' ? 'Weekly test' : 'Test'} ${moment(test.at)}`;
  if (test.confirmedAt !== null) {
    const took = duration(Date.parse(test.confirmedAt) - Date.parse(test.at));
    return { words: `${what}: confirmed after ${took}`, bad: false };
  }
  if (test.takenAt === null) {
    const why = test.error === null ? '' : `: ${test.error}`;
    if (test.givenUp) return { words: `${what}: not delivered, no more retries${why}`, bad: true };
    return test.error === null
      ? { words: `${what}: on its way`, bad: false }
      : { words: `${what}: not delivered yet${why}; trying again`, bad: true };
  }
  const late = Date.parse(test.confirmBy) <= reader.nowMs;
  return late
    ? {
        words: `${what}: delivered, not confirmed by ${moment(test.confirmBy)}`,
        bad: test.cause === 'weekly',
      }
    : { words: `${what}: delivered ${moment(test.takenAt)}, not yet confirmed`, bad: false };
}

/** How soon the page looks again, ms: soon while a test is on its way, at leisure while one waits, else not at all. */
export function checkAgainMs(tests: readonly TestView[], nowMs: number): number | null {
  const open = tests.filter(({ confirmedAt, givenUp }) => confirmedAt === null && !givenUp);
  if (open.some(({ takenAt, error }) => takenAt === null && error === null)) return 1_500;
  return open.some(({ confirmBy }) => Date.parse(confirmBy) > nowMs) ? 10_000 : null;
}

/** A weekly test without what only the daemon knows of it. */
export function weeklyOnly({ on, weekday, at, confirmWithinH }: WeeklyTest): WeeklyTest {
  return { on, weekday, at, confirmWithinH };
}
