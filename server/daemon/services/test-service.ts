import { Fault } from '../../../shared/faults.ts';
import type { Person } from '../../../shared/model/people/people.ts';
import type { PathTest } from '../../../shared/model/people/weekly-test.ts';
import type { TestView, WeeklyTestAnswer } from '../../../shared/wire/people.ts';
import { clock as clockWords, duration } from '../../../shared/words/plain.ts';
import { nextWeeklyTestMs, type TestLink } from '../../domain/people/weekly-test.ts';
import type { LinkState, LinkView, PeopleService } from '../../ports.ts';
import { keepStep } from '../notify/annunciate.ts';
import { putTests, testView, unconfirmedStep, weeklyOf } from '../notify/path-tests.ts';
import { commit, commitInAnyCase, type OrderContext } from './orders.ts';

/** Tests of one contact method that are shown, the newest. */
const TESTS_SHOWN = 6;

/** The weekly test and when it comes next, and the last tests of each contact method. */
export function testsAnswer({ store, settings, clock }: OrderContext): {
  weeklyTest: WeeklyTestAnswer;
  tests: readonly TestView[];
} {
  const weekly = weeklyOf(store);
  const nextMs = nextWeeklyTestMs({ weekly, nowMs: clock.nowMs(), zone: settings.timeZone });
  const seen = new Map<number, number>();
  const tests = store.pathTests.all().filter(({ wayId }) => {
    const before = seen.get(wayId) ?? 0;
    seen.set(wayId, before + 1);
    return before < TESTS_SHOWN;
  });
  const nextAt = nextMs === null ? null : new Date(nextMs).toISOString();
  return { weeklyTest: { ...weekly, nextAt }, tests: tests.map(testView) };
}

/** Orders about tests; `find` gives a person, with one contact method or all. */
export function createTestService(
  context: OrderContext,
  find: (at: Parameters<PeopleService['testNow']>[0]) => Person,
): Pick<PeopleService, 'testNow' | 'confirmTest' | 'setWeeklyTest'> {
  const { store, clock, world, settings } = context;
  return {
    testNow: (at) => {
      const person = find(at);
      const now = { world, store, settings, nowMs: clock.nowMs() };
      return commitInAnyCase(context, () => putTests(person, 'asked', now)).map(testView);
    },
    confirmTest(testId) {
      const test = store.pathTests.all().find(({ id }) => id === testId);
      if (!test) {
        const message = `There is no test ${testId}; GET /api/v1/people lists the last ones.`;
        throw new Fault({ code: 'not-found', message });
      }
      return testView(confirmed(test, context));
    },
    setWeeklyTest: (weekly) => commit(context, () => store.pathTests.setWeekly(weekly, clock.nowMs())),
  };
}

/** Keeps that a test reached somebody, once; the alarm about it returns at the same instant. */
function confirmed(test: PathTest, context: OrderContext): PathTest {
  if (test.confirmedMs !== null) return test;
  const { store, clock, world, settings } = context;
  const now = { world, store, settings, nowMs: clock.nowMs() };
  const step = commitInAnyCase(context, () => {
    store.pathTests.confirm(test.id, now.nowMs);
    const moved = unconfirmedStep(now);
    if (moved) keepStep(moved, now);
    return moved;
  });
  if (step) context.alarmChanged(step.record.id);
  return { ...test, confirmedMs: now.nowMs };
}

const HEADLINE = 'A test of how alarms reach you';

/** What the link of a test would do. */
export function viewTest({ key, expiresMs }: TestLink, context: OrderContext): LinkView {
  const { store, clock, settings } = context;
  const reader = { timeZone: settings.timeZone, nowMs: clock.nowMs() };
  const said = (state: LinkState, words: string): LinkView => ({
    state,
    headline: HEADLINE,
    words,
    ask: null,
    about: null,
  });
  const test = store.pathTests.byKey(key);
  if (!test) return said('over', 'This test is kept no more: its way was changed or removed since.');
  if (test.confirmedMs !== null)
    return said('spent', `It was confirmed at ${clockWords(test.confirmedMs, reader)}: nothing more to do.`);
  if (expiresMs <= reader.nowMs)
    return said('expired', `This link worked until ${clockWords(expiresMs, reader)}. Ask for another test.`);
  const ask = { button: 'It reached me', means: `Sent ${clockWords(test.putMs, reader)}. Nothing is wrong.` };
  return { ...said('good', ''), ask };
}

/** Confirms a test by its link. */
export function followTest(link: TestLink, context: OrderContext): LinkView {
  const view = viewTest(link, context);
  const test = context.store.pathTests.byKey(link.key);
  if (view.state !== 'good' || !test) return view;
  const { putMs, confirmedMs } = confirmed(test, context);
  const took = duration((confirmedMs ?? putMs) - putMs);
  return { ...view, ask: null, words: `Confirmed, ${took} after it was sent. Thank you.` };
}
