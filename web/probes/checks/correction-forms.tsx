import { useState } from 'preact/hooks';
import type { ProbeTruth } from '../../../shared/wire/probes/checks.ts';
import { call } from '../../api.ts';
import { TextField } from '../../common/field.tsx';
import type { Order } from '../../common/hooks.ts';
import { calendarDay, instantOfWall } from '../../common/time.ts';
import { nowMs, say, timeZone } from '../../state.ts';
import type { Scale } from './check-words.ts';
import { type CorrectionToEnter, correctionOf } from './correction-form.ts';

type FormProps = { readonly truth: ProbeTruth; readonly changed: () => void; readonly order: Order };

const enter = (probeId: number, body: CorrectionToEnter) =>
  call('correctProbe', { params: { id: probeId }, body });

/** A correction by hand, with a reason. */
export function HandForm({ truth, scale, changed, order }: FormProps & { readonly scale: Scale }) {
  const [offset, setOffset] = useState('');
  const [gain, setGain] = useState('1');
  const [reason, setReason] = useState('');
  const [from, setFrom] = useState('');
  const [errors, setErrors] = useState<Readonly<Record<string, string>>>({});
  const unit = scale.quantity?.endsWith('/temperature') ? 'K' : scale.unitText;
  const submit = async (event: Event) => {
    event.preventDefault();
    const read = correctionOf({ offset, gain, reason, from }, timeZone.value);
    setErrors(read.errors);
    const { correction } = read;
    if (!correction || !(await order.run(() => enter(truth.probeId, correction)))) return;
    setOffset('');
    setGain('1');
    setReason('');
    setFrom('');
    say('The correction is entered.');
    changed();
  };
  return (
    <details>
      <summary>Correct it by hand</summary>
      <form class="check-form" onSubmit={(event) => void submit(event)} noValidate>
        <TextField
          name="offset"
          label="add"
          value={offset}
          unit={unit}
          placeholder="-0.4"
          inputMode="text"
          error={errors['offset']}
          onInput={setOffset}
        />
        <TextField
          name="gain"
          label="after times"
          value={gain}
          unit=""
          inputMode="decimal"
          error={errors['gain']}
          onInput={setGain}
        />
        <TextField
          name="reason"
          label="why"
          value={reason}
          unit=""
          placeholder="e.g. thermometer of the lab"
          error={errors['reason']}
          onInput={setReason}
        />
        <TextField
          name="from"
          label="from"
          type="datetime-local"
          value={from}
          unit=""
          hint="empty: from now on. What was counted since then is counted again; later corrections are replaced."
          required={false}
          error={undefined}
          onInput={setFrom}
        />
        <button type="submit" disabled={order.busy}>
          Correct it
        </button>
      </form>
    </details>
  );
}

const DAY_MS = 86_400_000;

/** When the probe is checked next. */
export function DueForm({ truth, changed, order }: FormProps) {
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
