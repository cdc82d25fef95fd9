import { useId, useState } from 'preact/hooks';
import type { Escalation } from '../../shared/model/people/people.ts';
import type { PeopleAnswer } from '../../shared/wire/people.ts';
import { call } from '../api.ts';
import { FormFoot } from '../common/form-foot.tsx';
import { useOrder } from '../common/hooks.ts';
import { say } from '../state.ts';
import { escalationLines, moved, priorityLines } from './people.ts';

type EscalationProps = { readonly answer: PeopleAnswer; readonly changed: () => void };

/** Who is called first, who after how long, in plain words and to be changed. */
export function EscalationSection({ answer, changed }: EscalationProps) {
  const [editing, setEditing] = useState(false);
  const { ladder: escalation, people } = answer;
  return (
    <section>
      <h2>Who gets called</h2>
      {editing ? (
        <EscalationForm answer={answer} changed={changed} close={() => setEditing(false)} />
      ) : (
        <>
          <ol class="ladder-lines" data-testid="ladder">
            {escalationLines(escalation, people).map((line) => (
              <li key={line}>{line}</li>
            ))}
          </ol>
          <ul class="ladder-lines">
            {priorityLines(escalation).map((line) => (
              <li key={line}>{line}</li>
            ))}
          </ul>
          <p class="quiet">Everybody called is notified who acknowledged and when it cleared.</p>
          <button type="button" onClick={() => setEditing(true)}>
            Change…
          </button>
        </>
      )}
    </section>
  );
}

type StepsProps = {
  readonly ladder: Escalation;
  readonly people: PeopleAnswer['people'];
  readonly setEscalation: (escalation: Escalation) => void;
};

function Steps({ ladder: escalation, people, setEscalation }: StepsProps) {
  const nameOf = (personId: number) => people.find((one) => one.id === personId)?.name ?? '';
  const setAfter = (position: number, afterMin: number) =>
    setEscalation({
      ...escalation,
      steps: escalation.steps.map((step, i) => (i === position ? { ...step, afterMin } : step)),
    });
  return (
    <>
      {escalation.steps.map(({ personId, afterMin }, position) => (
        <div class="row rung" key={personId}>
          <span>{nameOf(personId)}</span>
          {position === 0 ? (
            <span>at once</span>
          ) : (
            <label>
              after{' '}
              <input
                type="number"
                min={escalation.steps[position - 1]?.afterMin ?? 0}
                max={1_440}
                required
                value={afterMin}
                onInput={(event) => setAfter(position, Number(event.currentTarget.value))}
              />{' '}
              min
            </label>
          )}
          {position > 0 && (
            <button
              type="button"
              onClick={() => setEscalation(moved(escalation, { from: position, by: -1 }))}
            >
              Earlier<span class="unseen"> for {nameOf(personId)}</span>
            </button>
          )}
        </div>
      ))}
    </>
  );
}

function EscalationForm({ answer, changed, close }: EscalationProps & { close: () => void }) {
  const id = useId();
  const order = useOrder();
  const [escalation, setEscalation] = useState<Escalation>(() => withEverybody(answer));
  const submit = async (event: Event) => {
    event.preventDefault();
    if (!(await order.run(() => call('setLadder', { body: escalation })))) return;
    say('Kept.');
    close();
    changed();
  };
  return (
    <form class="person-form" onSubmit={submit}>
      <Steps ladder={escalation} setEscalation={setEscalation} people={answer.people} />
      <label for={`${id}-repeat`}>high alarms again every, min</label>
      <input
        id={`${id}-repeat`}
        type="number"
        min={1}
        max={240}
        required
        value={escalation.repeatMin}
        onInput={(event) => setEscalation({ ...escalation, repeatMin: Number(event.currentTarget.value) })}
      />
      <label for={`${id}-morning`}>morning sheet at</label>
      <input
        id={`${id}-morning`}
        type="time"
        required
        value={escalation.morningAt}
        onInput={(event) => setEscalation({ ...escalation, morningAt: event.currentTarget.value })}
      />
      <FormFoot order={order} saveName="Save" close={close} />
    </form>
  );
}

/** The first step is called at once, whatever its minutes; written so, the others can be changed freely. */
function withEverybody({ ladder: escalation }: PeopleAnswer): Escalation {
  return {
    ...escalation,
    steps: escalation.steps.map((step, i) => (i === 0 ? { ...step, afterMin: 0 } : step)),
  };
}
