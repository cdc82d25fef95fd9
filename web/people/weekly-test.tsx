import { useId, useState } from 'preact/hooks';
import type { PeopleAnswer } from '../../shared/wire/people.ts';
import { call } from '../api.ts';
import { FormFoot } from '../common/form-foot.tsx';
import { useOrder } from '../common/hooks.ts';
import { reader, say } from '../state.ts';
import { WEEKDAYS, weeklyLines, weeklyOnly } from './people.ts';

type WeeklyProps = { readonly answer: PeopleAnswer; readonly changed: () => void };

/** When everybody's contact methods are tried, and who confirms; to be changed. */
export function WeeklyTestSection({ answer, changed }: WeeklyProps) {
  const [editing, setEditing] = useState(false);
  return (
    <section>
      <h2>The weekly test</h2>
      {editing ? (
        <WeeklyForm answer={answer} changed={changed} close={() => setEditing(false)} />
      ) : (
        <>
          <div data-testid="weekly-test">
            {weeklyLines(answer.weeklyTest, reader.value).map((line) => (
              <p key={line}>{line}</p>
            ))}
          </div>
          <button type="button" onClick={() => setEditing(true)}>
            Change…<span class="unseen"> the weekly test</span>
          </button>
        </>
      )}
    </section>
  );
}

function WeeklyForm({ answer, changed, close }: WeeklyProps & { close: () => void }) {
  const id = useId();
  const order = useOrder();
  const [weekly, setWeekly] = useState(() => weeklyOnly(answer.weeklyTest));
  const submit = async (event: Event) => {
    event.preventDefault();
    if (!(await order.run(() => call('setWeeklyTest', { body: weekly })))) return;
    say('Kept.');
    close();
    changed();
  };
  return (
    <form class="person-form" onSubmit={submit}>
      <label class="check">
        <input
          type="checkbox"
          checked={weekly.on}
          onChange={(event) => setWeekly({ ...weekly, on: event.currentTarget.checked })}
        />
        test every week
      </label>
      {weekly.on && (
        <>
          <label for={`${id}-day`}>on</label>
          <select
            id={`${id}-day`}
            value={weekly.weekday}
            onChange={(event) => setWeekly({ ...weekly, weekday: Number(event.currentTarget.value) })}
          >
            {WEEKDAYS.map((name, i) => (
              <option key={name} value={i + 1}>
                {name}
              </option>
            ))}
          </select>
          <label for={`${id}-at`}>at</label>
          <input
            id={`${id}-at`}
            type="time"
            required
            value={weekly.at}
            onInput={(event) => setWeekly({ ...weekly, at: event.currentTarget.value })}
          />
          <label for={`${id}-within`}>to be confirmed within, h</label>
          <input
            id={`${id}-within`}
            type="number"
            min={1}
            max={144}
            required
            value={weekly.confirmWithinH}
            onInput={(event) => setWeekly({ ...weekly, confirmWithinH: Number(event.currentTarget.value) })}
          />
        </>
      )}
      <FormFoot order={order} saveName="Save" close={close} />
    </form>
  );
}
