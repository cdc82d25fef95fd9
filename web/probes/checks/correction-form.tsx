import { useState } from 'preact/hooks';
import type { ProbeTruth } from '../../../shared/wire/probes/checks.ts';
import { call } from '../../api.ts';
import { TextField } from '../../common/field.tsx';
import type { Order } from '../../common/hooks.ts';
import { say, timeZone } from '../../state.ts';
import { type Scale, shiftUnit } from './check-words.ts';
import { type CorrectionToEnter, correctionOf } from './correction-form.ts';

export type ProbeFormProps = {
  readonly truth: ProbeTruth;
  readonly changed: () => void;
  readonly order: Order;
};

const enter = (probeId: number, body: CorrectionToEnter) =>
  call('correctProbe', { params: { id: probeId }, body });

/** A correction by hand, with a reason. */
export function CorrectionForm({ truth, scale, changed, order }: ProbeFormProps & { readonly scale: Scale }) {
  const [offset, setOffset] = useState('');
  const [gain, setGain] = useState('1');
  const [reason, setReason] = useState('');
  const [from, setFrom] = useState('');
  const [errors, setErrors] = useState<Readonly<Record<string, string>>>({});
  const unit = shiftUnit(scale);
  const submit = async (event: Event) => {
    event.preventDefault();
    const read = correctionOf({ offset, gain, reason, from }, { timeZone: timeZone.value, scale });
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
          name="gain"
          label="multiply by"
          value={gain}
          unit=""
          inputMode="decimal"
          error={errors['gain']}
          onInput={setGain}
        />
        <TextField
          name="offset"
          label="then add"
          value={offset}
          unit={unit}
          placeholder="-0.4"
          inputMode="text"
          error={errors['offset']}
          onInput={setOffset}
        />
        <TextField
          name="reason"
          label="reason"
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
