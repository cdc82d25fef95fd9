import { useState } from 'preact/hooks';
import { call } from '../../api.ts';
import { TextField } from '../../common/field.tsx';
import { calendarDay, instantOfWall } from '../../common/time.ts';
import { nowMs, say, timeZone } from '../../state.ts';

import type { ProbeFormProps } from './correction-form.tsx';

const DAY_MS = 86_400_000;

/** When the probe is checked next. */
export function DueForm({ truth, changed, order }: ProbeFormProps) {
  const [date, setDate] = useState('');
  const set = async (due: string | null) => {
    if (!(await order.run(() => call('setCheckDue', { params: { id: truth.probeId }, body: { due } }))))
      return;
    say(due === null ? 'No check is due.' : 'The next check is set.');
    changed();
  };
  const submit = (event: Event) => {
    event.preventDefault();
    const atMs =
      date === '' ? nowMs.value + 182 * DAY_MS : instantOfWall({ wall: date, timeZone: timeZone.value });
    if (atMs !== null) void set(new Date(atMs).toISOString());
  };
  return (
    <details>
      <summary>Set when it is checked next</summary>
      <form class="check-form" onSubmit={submit} noValidate>
        <TextField
          name="due"
          label="next check"
          type="datetime-local"
          value={date}
          unit=""
          hint={`empty: half a year from now, ${calendarDay({ atMs: nowMs.value + 182 * DAY_MS, timeZone: timeZone.value })}`}
          required={false}
          error={undefined}
          onInput={setDate}
        />
        <span class="row">
          <button type="submit" disabled={order.busy}>
            Set it
          </button>
          <button type="button" disabled={order.busy} onClick={() => void set(null)}>
            No check planned
          </button>
        </span>
      </form>
    </details>
  );
}
