import { useState } from 'preact/hooks';
import type { CountView } from '../../../shared/wire/cuttings/batches.ts';
import { call } from '../../api.ts';
import { TextField } from '../../common/field.tsx';
import { IfMay } from '../../common/if-may.tsx';
import { wallTime } from '../../common/time.ts';
import { may } from '../../settings/access.ts';
import { nowMs, reader, secondMs, timeZone } from '../../state.ts';
import {
  GRADES,
  LOSS_CAUSES,
  lossWords,
  moment,
  percent,
  pottedWords,
  STRIKE_NOTE,
  strikeWords,
} from '../words.ts';
import { type CountValues, countOf } from './count-form.ts';
import type { PartProps } from './part.ts';

/** Strike, its counts over time, and the form for another. */
export function CountsSection({ batch, edits }: PartProps) {
  return (
    <section data-testid="counts">
      <h2>Strike</h2>
      {batch.strike ? (
        <>
          <p class="strike" data-testid="strike">
            {strikeWords(batch.strike)}.
          </p>
          <p class="quiet">{STRIKE_NOTE}</p>
        </>
      ) : (
        <p>Not counted yet.</p>
      )}
      {batch.counts.length > 0 && <CountTable batch={batch} edits={edits} />}
      <IfMay route="addBatchCount">
        <details>
          <summary>Enter a count</summary>
          <CountForm batch={batch} edits={edits} />
        </details>
      </IfMay>
    </section>
  );
}

function CountTable({ batch, edits }: PartProps) {
  const remove = ({ n, at, looked: counted, rooted, callused, lost, potted, grades }: CountView) =>
    edits.run(async () => {
      await call('deleteBatchCount', { params: { id: batch.id, n } });
      const body = {
        at,
        looked: counted,
        rooted,
        ...(callused === null ? {} : { callused }),
        ...(lost.length === 0 ? {} : { lost }),
        ...(potted === null ? {} : { potted }),
        ...(grades.length === 0 ? {} : { grades }),
      };
      return {
        words: 'Count deleted.',
        run: () => call('addBatchCount', { params: { id: batch.id }, body }),
      };
    });
  return (
    <table class="stacks">
      <thead>
        <tr>
          <th scope="col">counted</th>
          <th scope="col">cuttings</th>
          <th scope="col">rooted</th>
          <th scope="col">callused</th>
          <th scope="col">lost</th>
          <th scope="col">potted on</th>
          <td />
        </tr>
      </thead>
      <tbody>
        {batch.counts.toReversed().map((count) => (
          <tr key={count.n}>
            <th scope="row">{moment(count.at, reader.value)}</th>
            <td data-label="cuttings">{count.looked}</td>
            <td data-label="rooted">
              {count.rooted} ({percent(count.rooted / count.looked)})
            </td>
            <td data-label="callused">{count.callused ?? '–'}</td>
            <td data-label="lost">{lossWords(count.lost) || '–'}</td>
            <td data-label="potted on">{pottedWords(count) ?? '–'}</td>
            <td>
              {may('deleteBatchCount') && (
                <button
                  type="button"
                  disabled={edits.busy}
                  aria-label={`Delete the count of ${moment(count.at, reader.value)}`}
                  onClick={() => void remove(count)}
                >
                  Delete
                </button>
              )}
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

function emptyCount(count: number): CountValues {
  const at = wallTime({ atMs: nowMs.value, timeZone: timeZone.value });
  return { at, counted: String(count), rooted: '', callused: '', lost: {}, potted: '', grades: {} };
}

function CountForm({ batch, edits }: PartProps) {
  const [values, setValues] = useState(() => emptyCount(batch.count));
  const [errors, setErrors] = useState<Readonly<Record<string, string>>>({});
  const set = (change: Partial<CountValues>) => setValues((before) => ({ ...before, ...change }));
  const submit = async (event: Event) => {
    event.preventDefault();
    const params = { id: batch.id };
    const read = countOf(values, { nowMs: secondMs.value, timeZone: timeZone.value });
    setErrors(read.errors ?? {});
    const { body } = read;
    if (!body) return;
    const saved = await edits.run(async () => {
      const { counts } = await call('addBatchCount', { params, body });
      const n = counts.findLast(({ at }) => Date.parse(at) === Date.parse(body.at))?.n;
      const undo = () => call('deleteBatchCount', { params: { ...params, n: n ?? 0 } });
      return n === undefined ? null : { words: 'Count saved.', run: undo };
    });
    if (saved) setValues(emptyCount(batch.count));
  };
  const number = (name: 'counted' | 'rooted' | 'callused' | 'potted', label: string, required = true) => (
    <TextField
      name={name}
      label={label}
      value={values[name]}
      unit="cuttings"
      inputMode="numeric"
      required={required}
      error={errors[name]}
      onInput={(typed) => set({ [name]: typed })}
    />
  );
  return (
    <form class="batch-form" data-testid="count-form" noValidate onSubmit={(event) => void submit(event)}>
      {number('counted', 'counted')}
      {number('rooted', 'rooted (tug test)')}
      {number('callused', 'callused', false)}
      <TextField
        name="at"
        label="when"
        type="datetime-local"
        value={values.at}
        unit=""
        error={errors['at']}
        onInput={(at) => set({ at })}
      />
      <Amounts
        legend="Lost, by cause"
        names={LOSS_CAUSES}
        prefix="lost-"
        typed={values.lost}
        set={(lost) => set({ lost })}
      />
      {errors['lost'] && <p class="problem">Lost: {errors['lost']}</p>}
      {number('potted', 'potted on', false)}
      <Amounts
        legend="Of these, by grade"
        names={GRADES}
        prefix="grade-"
        typed={values.grades}
        set={(grades) => set({ grades })}
      />
      {errors['grades'] && <p class="problem">Grades: {errors['grades']}</p>}
      <button type="submit" class="first" disabled={edits.busy}>
        Save
      </button>
    </form>
  );
}

type AmountsProps = {
  readonly legend: string;
  readonly names: readonly string[];
  readonly prefix: string;
  readonly typed: Readonly<Record<string, string>>;
  readonly set: (typed: Readonly<Record<string, string>>) => void;
};

/** How many of each, none of which must be filled in. */
function Amounts({ legend, names, prefix, typed, set }: AmountsProps) {
  return (
    <fieldset class="losses">
      <legend>{legend}</legend>
      {names.map((name) => (
        <TextField
          key={name}
          name={`${prefix}${name}`}
          label={name}
          value={typed[name] ?? ''}
          unit=""
          inputMode="numeric"
          required={false}
          error={undefined}
          onInput={(amount) => set({ ...typed, [name]: amount })}
        />
      ))}
    </fieldset>
  );
}
