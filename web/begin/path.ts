import type { PlaceSummary } from '../../shared/wire/http.ts';
import type { PeopleAnswer } from '../../shared/wire/people.ts';
import type { Answers } from '../place/forms/set-up.ts';

/** The steps of a first evening, in order. */
const STEP_IDS = ['questions', 'device', 'people', 'test'] as const;
export type StepId = (typeof STEP_IDS)[number];

export const BEGIN_KEY = 'strikewell.begin';
/** What is kept in this browser: answers given before there was a place, and steps that were skipped. */
export type Begun = { readonly answers: Answers; readonly skipped: readonly StepId[] };
export const NOT_BEGUN: Begun = { answers: { kind: null, mat: null, roots: null }, skipped: [] };

export type Step = {
  readonly id: StepId;
  readonly name: string;
  readonly state: 'done' | 'skipped' | 'open';
  /** how far it is, in a sentence */
  readonly words: string;
};

type Known = {
  readonly places: readonly (Pick<PlaceSummary, 'name' | 'invented'> & {
    readonly settings: Pick<PlaceSummary['settings'], 'questionsOpen'>;
  })[];
  /** null: not known, or not to be seen by who asks */
  readonly people: Pick<PeopleAnswer, 'people' | 'tests'> | null;
  readonly begun: Begun;
};

const NAMES: Readonly<Record<StepId, string>> = {
  questions: 'What is it, is there a heating mat, what roots in it?',
  device: 'Connect a device',
  people: 'Who is called?',
  test: 'Test it',
};

const counted = (count: number, one: string, several: string) =>
  count === 1 ? `1 ${one}` : `${count} ${several}`;

/** Each step with how far it is: done by what is on record, whoever did it; else skipped or open. */
export function stepsOf({ places, people, begun }: Known): Step[] {
  const own = places.filter(({ invented }) => !invented);
  const asking = own.filter(({ settings }) => settings.questionsOpen);
  const reached = people?.people.filter(({ ways: methods }) => methods.length > 0) ?? [];
  const confirmed = people?.tests.filter(({ confirmedAt }) => confirmedAt !== null) ?? [];
  const done: Readonly<Record<StepId, string | null>> = {
    questions: own.length > 0 && asking.length === 0 ? `Answered for ${namesOf(own)}.` : null,
    device: own.length > 0 ? `Readings have arrived from ${namesOf(own)}.` : null,
    people: reached.length > 0 ? `${counted(reached.length, 'person', 'people')} can be called.` : null,
    test: confirmed.length > 0 ? 'A test message was confirmed by the person it was sent to.' : null,
  };
  const open: Readonly<Record<StepId, string>> = {
    questions:
      asking.length > 0
        ? `Still to answer for ${namesOf(asking)}.`
        : 'The answers choose the bands to start with.',
    device: 'No readings yet.',
    people: people === null ? 'Only owners see who is called.' : 'Nobody is called yet.',
    test: people === null ? 'Only owners see the tests.' : 'No test message was confirmed yet.',
  };
  return STEP_IDS.map((id) => {
    const words = done[id];
    if (words !== null) return { id, name: NAMES[id], state: 'done', words };
    return { id, name: NAMES[id], state: begun.skipped.includes(id) ? 'skipped' : 'open', words: open[id] };
  });
}

function namesOf(places: readonly { readonly name: string }[]): string {
  const names = places.slice(0, 3).map(({ name }) => name);
  return places.length > names.length
    ? `${names.join(', ')} and ${places.length - names.length} more`
    : names.join(', ');
}

/** What was kept in this browser; what cannot be read counts as not begun. */
export function begunOf(text: string | null): Begun {
  try {
    const read: unknown = JSON.parse(text ?? 'null');
    if (typeof read !== 'object' || read === null) return NOT_BEGUN;
    const { answers, skipped } = read as { readonly answers?: unknown; readonly skipped?: unknown };
    const known = typeof answers === 'object' && answers !== null ? (answers as Partial<Answers>) : {};
    return {
      answers: { kind: known.kind ?? null, mat: known.mat ?? null, roots: known.roots ?? null },
      skipped: Array.isArray(skipped) ? STEP_IDS.filter((id) => skipped.includes(id)) : [],
    };
  } catch {
    return NOT_BEGUN;
  }
}
