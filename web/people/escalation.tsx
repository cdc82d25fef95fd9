import { useId, useState } from 'preact/hooks';
import type { Ladder } from '../../shared/model/people/people.ts';
import type { PeopleAnswer } from '../../shared/wire/people.ts';
import { call } from '../api.ts';
import { FormFoot } from '../common/form-foot.tsx';
import { useOrder } from '../common/hooks.ts';
import { say } from '../state.ts';
import { ladderLines, moved, priorityLines } from './people.ts';

type LadderProps = { readonly answer: PeopleAnswer; readonly changed: () => void };

/** Who is called first, who after how long, in plain words and to be changed. */
export function LadderSection({ answer, changed }: LadderProps) {
  const [editing, setEditing] = useState(false);
  const { ladder, people } = answer;
  return (
    <section>
      <h2>Who gets called</h2>
      {editing ? (
        <LadderForm answer={answer} changed={changed} close={() => setEditing(false)} />
      ) : (
        <>
          <ol class="ladder-lines" data-testid="ladder">
            {ladderLines(ladder, people).map((line) => (
              <li key={line}>{line}</li>
            ))}
          </ol>
          <ul class="ladder-lines">
            {priorityLines(ladder).map((line) => (
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

type RungsProps = {
  readonly ladder: Ladder;
  readonly people: PeopleAnswer['people'];
  readonly setLadder: (ladder: Ladder) => void;
};

function Rungs({ ladder, people, setLadder }: RungsProps) {
  const nameOf = (personId: number) => people.find((one) => one.id === personId)?.name ?? '';
  const setAfter = (rung: number, afterMin: number) =>
    setLadder({
      ...ladder,
      steps: ladder.steps.map((step, i) => (i === rung ? { ...step, afterMin } : step)),
    });
  return (
    <>
      {ladder.steps.map(({ personId, afterMin }, rung) => (
        <div class="row rung" key={personId}>
          <span>{nameOf(personId)}</span>
          {rung === 0 ? (
            <span>at once</span>
          ) : (
            <label>
              after{' '}
              <input
                type="number"
                min={ladder.steps[rung - 1]?.afterMin ?? 0}
                max={1_440}
                required
                value={afterMin}
                onInput={(event) => setAfter(rung, Number(event.currentTarget.value))}
              />{' '}
              min
            </label>
          )}
          {rung > 0 && (
            <button type="button" onClick={() => setLadder(moved(ladder, { from: rung, by: -1 }))}>
              Earlier<span class="unseen"> for {nameOf(personId)}</span>
            </button>
          )}
        </div>
      ))}
    </>
  );
}

function LadderForm({ answer, changed, close }: LadderProps & { close: () => void }) {
  const id = useId();
  const order = useOrder();
  const [ladder, setLadder] = useState<Ladder>(() => withEverybody(answer));
  const submit = async (event: Event) => {
    event.preventDefault();
    if (!(await order.run(() => call('setLadder', { body: ladder })))) return;
    say('Kept.');
    close();
    changed();
  };
  return (
    <form class="person-form" onSubmit={submit}>
      <Rungs ladder={ladder} setLadder={setLadder} people={answer.people} />
      <label for={`${id}-repeat`}>high alarms again every, min</label>
      <input
        id={`${id}-repeat`}
        type="number"
        min={1}
        max={240}
        required
        value={ladder.repeatMin}
        onInput={(event) => setLadder({ ...ladder, repeatMin: Number(event.currentTarget.value) })}
      />
      <label for={`${id}-morning`}>morning sheet at</label>
      <input
        id={`${id}-morning`}
        type="time"
        required
        value={ladder.morningAt}
        onInput={(event) => setLadder({ ...ladder, morningAt: event.currentTarget.value })}
      />
      <FormFoot order={order} saveName="Save" close={close} />
    </form>
  );
}

/** The first step is called at once, whatever its minutes; written so, the others can be changed freely. */
function withEverybody({ ladder }: PeopleAnswer): Ladder {
  return { ...ladder, steps: ladder.steps.map((step, i) => (i === 0 ? { ...step, afterMin: 0 } : step)) };
}
