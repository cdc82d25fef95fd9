import { useId, useState } from 'preact/hooks';
import type { PlaceSummary } from '../../../shared/wire/http.ts';
import { call } from '../../api.ts';
import { renewTraces } from '../../bench/traces.ts';
import { useOrder } from '../../common/hooks.ts';
import { IfMay } from '../../common/if-may.tsx';
import { say } from '../../state.ts';
import {
  type Answers,
  answersOf,
  type Choice,
  complete,
  KIND_CHOICES,
  MAT_CHOICES,
  missingWords,
  ROOTS_CHOICES,
  withAnswered,
} from './set-up.ts';

function Question<T>(props: {
  readonly asks: string;
  readonly choices: readonly Choice<T>[];
  readonly chosen: T | null;
  readonly onChoose: (value: T) => void;
}) {
  const name = useId();
  return (
    <fieldset class="question">
      <legend>{props.asks}</legend>
      {props.choices.map(({ value, words, hint }) => (
        <label key={words}>
          <input
            type="radio"
            name={name}
            checked={props.chosen === value}
            onChange={() => props.onChoose(value)}
          />
          <span>
            <b>{words}</b> <small>{hint}</small>
          </span>
        </label>
      ))}
    </fieldset>
  );
}

type FieldsProps = { readonly answers: Answers; readonly set: (change: Partial<Answers>) => void };

/** The three questions with what was answered so far. */
export function QuestionFields({ answers, set }: FieldsProps) {
  return (
    <>
      <Question
        asks="What is it?"
        choices={KIND_CHOICES}
        chosen={answers.kind}
        onChoose={(kind) => set({ kind })}
      />
      <Question
        asks="Is there a heating mat?"
        choices={MAT_CHOICES}
        chosen={answers.mat}
        onChoose={(mat) => set({ mat })}
      />
      <Question
        asks="What roots in it?"
        choices={ROOTS_CHOICES}
        chosen={answers.roots}
        onChoose={(roots) => set({ roots })}
      />
    </>
  );
}

type SetUpProps = {
  readonly place: PlaceSummary;
  /** answers given before the place was there */
  readonly answered?: Answers;
};

function Questions({ place, answered }: SetUpProps) {
  const [answers, setAnswers] = useState<Answers>(() => withAnswered(answersOf(place), answered));
  const order = useOrder();
  const set = (change: Partial<Answers>) => setAnswers((before) => ({ ...before, ...change }));
  const all = complete(answers);
  const save = async (event: Event) => {
    event.preventDefault();
    if (!all || !(await order.run(() => call('setUpPlace', { params: { id: place.id }, body: all })))) return;
    renewTraces(place.id);
    say('Saved. The bands that fit hold from now.');
  };
  const keep = () =>
    order
      .run(() =>
        call('changePlace', { params: { id: place.id }, body: { settings: { questionsOpen: false } } }),
      )
      .then(() => undefined);
  return (
    <form class="set-up" onSubmit={save}>
      <QuestionFields answers={answers} set={set} />
      <span class="row">
        <button type="submit" class="first" disabled={order.busy || all === null}>
          Use the bands that fit
        </button>
        {place.settings.questionsOpen && (
          <button type="button" disabled={order.busy} onClick={keep}>
            Keep the present bands
          </button>
        )}
      </span>
      <p class={order.problem ? 'problem' : 'hint'} role="status">
        {order.problem ?? missingWords(answers)}
      </p>
    </form>
  );
}

/** What is asked about a place that made itself by its first readings; once answered, it can be changed here. */
export function SetUp({ place, answered }: SetUpProps) {
  if (!place.settings.questionsOpen)
    return (
      <IfMay route="setUpPlace">
        <details class="set-up-again">
          <summary>What it is, and what roots in it</summary>
          <p>Other answers set other bands, from now on.</p>
          <Questions key={JSON.stringify(answersOf(place))} place={place} />
        </details>
      </IfMay>
    );
  return (
    <section class="set-up-now" data-testid="set-up">
      <h2>Three questions about this place</h2>
      <p>
        It is judged as soft green cuttings on a heated bench until you answer. Meanwhile nobody is called
        about the root zone, dry air or mist. Heat, cold air and missing readings are called as ever.
      </p>
      <IfMay route="setUpPlace">
        <Questions place={place} {...(answered ? { answered } : {})} />
      </IfMay>
    </section>
  );
}
