import { describe, expect, test } from 'vitest';
import { DEFAULT_PLACE_SETTINGS } from '../../../../shared/model/place.ts';
import type { PeopleAnswer, TestView } from '../../../../shared/wire/people.ts';
import { begunOf, NOT_BEGUN, stepsOf } from '../../../../web/begin/path.ts';

const place = (name: string, questionsOpen: boolean, invented = false) => ({
  name,
  invented,
  settings: { ...DEFAULT_PLACE_SETTINGS, questionsOpen },
});
type People = Pick<PeopleAnswer, 'people' | 'tests'>;
const robin = (methods: number): People['people'][number] => ({
  id: 1,
  name: 'Robin',
  quiet: null,
  ways: Array.from({ length: methods }, (_, i) => ({
    id: i,
    kind: 'mail' as const,
    address: 'r@bench.example',
  })),
});
const tested = (confirmedAt: string | null): TestView => ({
  id: 1,
  personId: 1,
  wayId: 0,
  cause: 'asked',
  error: null,
  givenUp: false,
  at: '2026-03-05T20:00:00Z',
  confirmBy: '2026-03-05T21:00:00Z',
  takenAt: '2026-03-05T20:00:01Z',
  confirmedAt,
});
const NOBODY: People = { people: [], tests: [] };
const states = (of: Parameters<typeof stepsOf>[0]) => stepsOf(of).map(({ state }) => state);

describe('the path of a first evening', () => {
  test('is open in all 4 steps at first, in the order in which they are asked', () => {
    const steps = stepsOf({ places: [], people: NOBODY, begun: NOT_BEGUN });
    expect(steps.map(({ id }) => id)).toEqual(['questions', 'device', 'people', 'test']);
    expect(steps.every(({ state }) => state === 'open')).toBe(true);
  });

  test('counts a step as done by what is on record: readings, answers, somebody with a contact method, a confirmed test', () => {
    const places = [place('sill', true)];
    expect(states({ places, people: NOBODY, begun: NOT_BEGUN })).toEqual(['open', 'done', 'open', 'open']);
    const answered = [place('sill', false)];
    const mute = { people: [robin(0)], tests: [] };
    expect(states({ places: answered, people: mute, begun: NOT_BEGUN })).toEqual([
      'done',
      'done',
      'open',
      'open',
    ]);
    const sent = { people: [robin(1)], tests: [tested(null)] };
    expect(states({ places: answered, people: sent, begun: NOT_BEGUN })).toEqual([
      'done',
      'done',
      'done',
      'open',
    ]);
    const confirmed = { ...sent, tests: [tested('2026-03-05T20:05:00Z')] };
    expect(states({ places: answered, people: confirmed, begun: NOT_BEGUN })).toEqual(Array(4).fill('done'));
  });

  test('a demo place answers and connects nothing', () => {
    expect(states({ places: [place('demo', false, true)], people: NOBODY, begun: NOT_BEGUN })).toEqual(
      Array(4).fill('open'),
    );
  });

  test('a step that was skipped says so, and is done all the same once it is', () => {
    const begun = { ...NOT_BEGUN, skipped: ['people', 'device'] as const };
    expect(states({ places: [], people: NOBODY, begun })).toEqual(['open', 'skipped', 'skipped', 'open']);
    expect(states({ places: [place('sill', true)], people: NOBODY, begun })[1]).toBe('done');
  });

  test('who may not see the people is told that, not that nobody is called', () => {
    const steps = stepsOf({ places: [], people: null, begun: NOT_BEGUN });
    expect(steps[2]?.words).toBe('Only owners see who is called.');
  });
});

test.each([
  ['nothing', null],
  ['no JSON', '{'],
  ['a number', '7'],
])('of %s kept nothing was begun', (_, text) => {
  expect(begunOf(text)).toEqual(NOT_BEGUN);
});

test('what was kept is read again, without steps that are none', () => {
  const kept = { answers: { kind: 'dome', mat: false, roots: null }, skipped: ['test', 'fly'] };
  expect(begunOf(JSON.stringify(kept))).toEqual({ answers: kept.answers, skipped: ['test'] });
});
