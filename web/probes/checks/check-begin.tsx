import { useState } from 'preact/hooks';
import type { CheckView } from '../../../shared/wire/probes/checks.ts';
import { call } from '../../api.ts';
import { TextField } from '../../common/field.tsx';
import type { Order } from '../../common/hooks.ts';
import { instantOfWall, wallTime } from '../../common/time.ts';
import { nowMs, timeZone } from '../../state.ts';

/** Gives an order about a check, and shows the result. */
export type Run = (work: () => Promise<CheckView>) => Promise<boolean>;

/** Says since when the probe is where it is checked. */
export function BeginForm({ view, order, run }: { view: CheckView; order: Order; run: Run }) {
  const [earlier, setEarlier] = useState(false);
  const isBeside = view.kind === 'beside';
  const [since, setSince] = useState('');
  const [until, setUntil] = useState('');
  const [error, setError] = useState<string | undefined>(undefined);
  const submit = (event: Event) => {
    event.preventDefault();
    setError(undefined);
    const params = { id: view.id };
    if (!earlier) return void run(() => call('beginCheckStep', { params }));
    const [from, to] = [since, until].map((wall) => instantOfWall({ wall, timeZone: timeZone.value }));
    if (!from) return setError('Give the day and time at which it was put there.');
    const span = {
      since: new Date(from).toISOString(),
      ...(to ? { until: new Date(to).toISOString() } : {}),
    };
    void run(() => call('beginCheckStep', { params, body: span }));
  };
  const choose = (chosen: boolean) => {
    setEarlier(chosen);
    if (chosen && since === '')
      setSince(wallTime({ atMs: nowMs.value - 3_600_000, timeZone: timeZone.value }));
  };
  return (
    <form class="check-form" onSubmit={submit} noValidate>
      <fieldset class="units">
        <legend class="unseen">Since when the probe is there</legend>
        <label>
          <input type="radio" name={`when-${view.id}`} checked={!earlier} onChange={() => choose(false)} />
          it is there from now on
        </label>
        <label>
          <input type="radio" name={`when-${view.id}`} checked={earlier} onChange={() => choose(true)} />
          {isBeside ? 'a span of the record' : 'it is there already'}
        </label>
      </fieldset>
      {earlier && (
        <TextField
          name="since"
          label={isBeside ? 'from' : 'since'}
          type="datetime-local"
          value={since}
          unit=""
          error={error}
          onInput={setSince}
        />
      )}
      {earlier && (
        <TextField
          name="until"
          label={isBeside ? 'until' : 'taken out'}
          type="datetime-local"
          value={until}
          unit=""
          hint={isBeside ? 'empty: until now' : 'empty: it is still there'}
          required={false}
          error={undefined}
          onInput={setUntil}
        />
      )}
      <button type="submit" class="first" disabled={order.busy}>
        {earlier ? 'Judge its readings since then' : 'It is there: begin'}
      </button>
    </form>
  );
}
