import type { ContactMethod, Person } from '../../../shared/model/people/people.ts';
import {
  FIRST_WEEKLY_TEST,
  type PathTest,
  type WeeklyTest,
} from '../../../shared/model/people/weekly-test.ts';
import type { Notice, TestView } from '../../../shared/wire/people.ts';
import { CONTACT_METHOD_WORDS } from '../../../shared/words/people.ts';
import { clock as clockWords } from '../../../shared/words/plain.ts';
import { type AlarmStep, withCondition } from '../../domain/alarms/record.ts';
import { quietUntilMs } from '../../domain/people/quiet.ts';
import {
  KEEP_TESTS_MS,
  TEST_LINK_LASTS_MS,
  testLinkText,
  unconfirmedTests,
  weeklyTestDue,
} from '../../domain/people/weekly-test.ts';
import type { Store } from '../../ports.ts';
import { type NotifyContext, recipientOf } from './calling.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;

/** The weekly test as somebody set it, or as it is proposed. */
export function weeklyOf({ pathTests }: Pick<Store, 'pathTests'>): WeeklyTest {
  return pathTests.weekly() ?? FIRST_WEEKLY_TEST;
}

/** Sends the weekly test when its hour has come: to everybody by each of their contact methods, not into quiet hours. */
export function weeklyTestTurn(context: NotifyContext): void {
  const { store, settings, nowMs } = context;
  const { pathTests } = store;
  const keptMs = pathTests.sinceMs();
  // one from a clock that was far ahead would keep tests away until then
  const sinceMs = keptMs !== null && keptMs <= nowMs + DAY_MS ? keptMs : null;
  const when = { weekly: weeklyOf(store), nowMs, zone: settings.timeZone };
  const due = sinceMs !== null && weeklyTestDue({ ...when, sinceMs });
  // before the first check there was no hour to be missed
  if (sinceMs !== null && !due) return;
  store.carryOn(() => {
    pathTests.markChecked(nowMs);
    pathTests.forgetBefore(nowMs - KEEP_TESTS_MS);
    if (due) for (const person of store.people.roster().people) putTests(person, 'weekly', context);
  });
}

/**
 * Puts test messages to somebody, by the contact methods that are given with the person, into the outbox, inside the caller's transaction: from there on they go as alarms do.
 * What somebody asked for goes at once; the weekly test waits for quiet hours to end.
 * @returns the tests; none for a contact method by which one is still being tried
 */
export function putTests(person: Person, cause: PathTest['cause'], context: NotifyContext): PathTest[] {
  const { store, nowMs, settings } = context;
  const { quiet } = person;
  const heldMs = cause === 'asked' ? null : quietUntilMs({ quiet, nowMs, zone: settings.timeZone });
  const notBeforeMs = heldMs ?? nowMs;
  const confirmByMs = notBeforeMs + weeklyOf(store).confirmWithinH * HOUR_MS;
  const waiting = new Set(store.pathTests.all().flatMap((test) => (isUnderWay(test) ? [test.wayId] : [])));
  return person.ways.flatMap((method) => {
    if (waiting.has(method.id)) return [];
    const key = `test-${nowMs}-${store.outbox.nextId()}`;
    const recipient = recipientOf(person, method);
    const about = { key, wayId: method.id, recipient };
    const body = JSON.stringify(testNotice({ key, person, way: method, confirmByMs }, context));
    store.outbox.put({ ...about, alarmId: null, kind: 'test', body, createdMs: nowMs, notBeforeMs });
    return [store.pathTests.add({ ...about, cause, personId: person.id, putMs: nowMs, confirmByMs })];
  });
}

function isUnderWay({ takenMs, givenUp, confirmedMs }: PathTest): boolean {
  return takenMs === null && !givenUp && confirmedMs === null;
}

type NoticeOf = {
  readonly key: string;
  readonly person: Person;
  readonly way: ContactMethod;
  readonly confirmByMs: number;
};

function testNotice(
  { key, person, way: method, confirmByMs }: NoticeOf,
  { settings, nowMs }: NotifyContext,
): Notice {
  const { publicUrl, seal } = settings.links;
  const answerPath = `/answer/${seal.sign(testLinkText({ key, expiresMs: nowMs + TEST_LINK_LASTS_MS }))}`;
  const answer = publicUrl === null ? null : publicUrl.replace(/\/$/, '') + answerPath;
  const where =
    answer === null && method.kind !== 'push' ? ' on the page People of Strikewell' : ': “It reached me”';
  const until = clockWords(confirmByMs, { timeZone: settings.timeZone, nowMs });
  const message =
    `This is a test. Nothing is wrong. Alarms reach ${person.name} by ${CONTACT_METHOD_WORDS[method.kind]} like this. ` +
    `Please confirm it by ${until}${where}.`;
  return {
    type: 'test',
    timestamp: new Date(nowMs).toISOString(),
    data: { subject: 'Strikewell: a test, nothing is wrong', message, answer, answerPath, alarm: null },
  };
}

/** The alarm of tests that were not confirmed in time, as it is now; null when nothing about it changed. */
export function unconfirmedStep({ store, world, nowMs }: NotifyContext): AlarmStep | null {
  const before = world.alarm({ placeId: null, rule: 'test-unconfirmed' });
  const late = unconfirmedTests(store.pathTests.all(), nowMs);
  if (late.length === 0 && before.state === 'normal') return null;
  const { people } = store.people.roster();
  const tests = late.flatMap(({ personId, wayId, putMs, takenMs, error }) => {
    const person = people.find(({ id }) => id === personId);
    const method = person?.ways.find(({ id }) => id === wayId);
    const why = takenMs === null ? (error ?? 'it was not sent') : null;
    return person && method
      ? [{ who: `${person.name} over ${CONTACT_METHOD_WORDS[method.kind]}`, putMs, error: why }]
      : [];
  });
  const record =
    tests.length === 0 ? before : { ...before, facts: { kind: 'test-unconfirmed', tests } as const };
  const step = withCondition(record, { isMet: tests.length > 0, atMs: nowMs });
  const same = JSON.stringify(record.facts) === JSON.stringify(before.facts);
  return step.transition === null && same ? null : step;
}

/** A test as the page shows it. */
export function testView(test: PathTest): TestView {
  const iso = (ms: number | null) => (ms === null ? null : new Date(ms).toISOString());
  const { id, personId, wayId, cause, error, givenUp } = test;
  return {
    id,
    personId,
    wayId,
    cause,
    error,
    givenUp,
    at: new Date(test.putMs).toISOString(),
    confirmBy: new Date(test.confirmByMs).toISOString(),
    takenAt: iso(test.takenMs),
    confirmedAt: iso(test.confirmedMs),
  };
}
