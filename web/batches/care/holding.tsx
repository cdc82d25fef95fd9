import { useState } from 'preact/hooks';
import { call } from '../../api.ts';
import { ChoiceField, TextField } from '../../common/field.tsx';
import { useLoaded } from '../../common/hooks.ts';
import { IfMay } from '../../common/if-may.tsx';
import { known, timeZone, unit } from '../../state.ts';
import type { PartProps } from '../one/part.ts';
import { type HeldValues, heldOf, heldValues } from './held-form.ts';
import { cutHourWords, heldWords, lantanaWords, limitWords } from './holding-words.ts';

const HOURS = Array.from({ length: 24 }, (_, hour) => `${String(hour).padStart(2, '0')}:00`);

/** How long and how warm the cuttings were held before sticking, and the form to note it. */
export function HoldingSection({ batch, edits }: PartProps) {
  const { crop, cutAt, cutHour, boxOpenedAt, boxPlaceId, stuckAt } = batch;
  const noted = JSON.stringify([crop, cutAt, cutHour, boxOpenedAt, boxPlaceId, stuckAt]);
  const { value, problem } = useLoaded(`holding ${batch.id} ${noted}`, () =>
    call('getBatchHolding', { params: { id: batch.id } }),
  );
  const hour = value && cutHourWords(value);
  return (
    <section data-testid="holding">
      <h2>From the cut to sticking</h2>
      {problem && <p class="problem">It cannot be worked out now: {problem}</p>}
      {!value && !problem && <p class="waiting">Working it out…</p>}
      {value && (
        <>
          {heldWords(value, unit.value).map((words) => (
            <p key={words}>{words}</p>
          ))}
          {limitWords(value, crop, unit.value).map((words) => (
            <p key={words} class={words.startsWith('Over') ? 'problem' : ''}>
              {words}
            </p>
          ))}
          {hour && (
            <>
              <p>{hour}</p>
              <p class="quiet">{lantanaWords(unit.value)}</p>
            </>
          )}
        </>
      )}
      <IfMay route="changeBatch">
        <details>
          <summary>Note the cut and the box</summary>
          <HeldForm key={noted} batch={batch} edits={edits} />
        </details>
      </IfMay>
    </section>
  );
}

function HeldForm({ batch, edits }: PartProps) {
  const [values, setValues] = useState<HeldValues>(() => heldValues(batch, timeZone.value));
  const [errors, setErrors] = useState<Readonly<Record<string, string>>>({});
  const set = (change: Partial<HeldValues>) => setValues((before) => ({ ...before, ...change }));
  const submit = async (event: Event) => {
    event.preventDefault();
    const read = heldOf(values, { stuckMs: Date.parse(batch.stuckAt), timeZone: timeZone.value });
    setErrors(read.errors ?? {});
    const { body } = read;
    if (!body) return;
    const params = { id: batch.id };
    const { cutAt, cutHour, boxOpenedAt, boxPlaceId } = batch;
    await edits.run(async () => {
      await call('changeBatch', { params, body });
      const before = { cutAt, cutHour, boxOpenedAt, boxPlaceId };
      return { words: 'Cut and box noted.', run: () => call('changeBatch', { params, body: before }) };
    });
  };
  return (
    <form class="batch-form" noValidate onSubmit={(event) => void submit(event)}>
      <HeldFields values={values} errors={errors} set={set} />
      <ChoiceField
        name="box-place"
        label="air probe in the box"
        value={values.boxPlaceId}
        choices={[
          { value: '', words: 'none' },
          ...known.value.places.map(({ id, name }) => ({ value: id, words: name })),
        ]}
        onChange={(boxPlaceId) => set({ boxPlaceId })}
      />
      <p class="hint">The place whose air probe lay in the box from the cut, or the opening, to sticking.</p>
      <button type="submit" class="first" disabled={edits.busy}>
        Save
      </button>
    </form>
  );
}

type FieldsProps = {
  readonly values: Omit<HeldValues, 'boxPlaceId'>;
  readonly errors: Readonly<Record<string, string>>;
  readonly set: (change: Partial<Omit<HeldValues, 'boxPlaceId'>>) => void;
};

/** When they were cut and the box was opened; as a new batch asks it too. */
export function HeldFields({ values, errors, set }: FieldsProps) {
  return (
    <>
      <TextField
        name="cut-at"
        label="cut"
        type="datetime-local"
        value={values.cutAt}
        unit=""
        required={false}
        error={errors['cutAt']}
        onInput={(cutAt) => set({ cutAt })}
      />
      {values.cutAt === '' && (
        <ChoiceField
          name="cut-hour"
          label="or only its hour"
          value={values.cutHour}
          choices={[
            { value: '', words: 'not known' },
            ...HOURS.map((words, hour) => ({ value: String(hour), words })),
          ]}
          onChange={(cutHour) => set({ cutHour })}
        />
      )}
      <TextField
        name="box-opened-at"
        label="box opened"
        type="datetime-local"
        value={values.boxOpenedAt}
        unit=""
        required={false}
        error={errors['boxOpenedAt']}
        onInput={(boxOpenedAt) => set({ boxOpenedAt })}
      />
    </>
  );
}
