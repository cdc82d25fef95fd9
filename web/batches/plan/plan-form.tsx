import { useState } from 'preact/hooks';
import type { Sheet } from '../../../shared/model/cuttings/sheet.ts';
import type { KnownStep, Preparation } from '../../../shared/wire/cuttings/preparations.ts';
import { ChoiceField, TextField } from '../../common/field.tsx';
import { known } from '../../state.ts';
import { nextOwnId, type PlanValues, planOf, planValues, type StepChoice } from './plan-form.ts';
import { beforeWords, PLAN_NAMES, type PlanName, sourceWords } from './plan-words.ts';

const NOT_YET = { value: '', words: 'not known yet' };
const NAMES = Object.keys(PLAN_NAMES) as PlanName[];

type Body = NonNullable<ReturnType<typeof planOf>['body']>;
type FormProps = {
  readonly plan: Preparation | null;
  readonly steps: readonly KnownStep[];
  readonly sheets: readonly Sheet[];
  readonly busy: boolean;
  readonly save: (body: Body) => Promise<unknown>;
};

/** Crop, day of sticking, the steps before it, and what else is known of a batch that is planned. */
export function PlanForm({ plan, steps, sheets, busy, save }: FormProps) {
  const [values, setValues] = useState(() => planValues(plan, steps));
  const [errors, setErrors] = useState<Readonly<Record<string, string>>>({});
  const set = (change: Partial<PlanValues>) => setValues((before) => ({ ...before, ...change }));
  const submit = async (event: Event) => {
    event.preventDefault();
    const read = planOf(values);
    setErrors(read.errors ?? {});
    if (read.body) await save(read.body);
  };
  return (
    <form class="batch-form" data-testid="plan-form" noValidate onSubmit={(event) => void submit(event)}>
      <TextField
        name="plan-crop"
        label="crop"
        value={values.crop}
        unit=""
        error={errors['crop']}
        onInput={(crop) => set({ crop: crop.slice(0, 80) })}
      />
      <TextField
        name="stick-on"
        label="to be stuck on"
        type="date"
        value={values.stickOn}
        unit=""
        error={errors['stickOn']}
        onInput={(stickOn) => set({ stickOn })}
      />
      <StepChoices values={values} errors={errors} set={set} known={steps} />
      <details>
        <summary>Where, how many, and in what</summary>
        <Details values={values} errors={errors} set={set} sheets={sheets} />
      </details>
      <button type="submit" class="first" disabled={busy}>
        Save
      </button>
    </form>
  );
}

type PartProps = {
  readonly values: PlanValues;
  readonly errors: Readonly<Record<string, string>>;
  readonly set: (change: Partial<PlanValues>) => void;
};

function Details({ values, errors, set, sheets }: PartProps & Pick<FormProps, 'sheets'>) {
  return (
    <>
      <ChoiceField
        name="plan-place"
        label="place"
        value={values.placeId}
        choices={[NOT_YET, ...known.value.places.map(({ id, name }) => ({ value: id, words: name }))]}
        onChange={(placeId) => set({ placeId })}
      />
      <ChoiceField
        name="plan-sheet"
        label="target sheet"
        value={values.sheetId}
        choices={[NOT_YET, ...sheets.map(({ id, name }) => ({ value: id, words: name }))]}
        onChange={(sheetId) => set({ sheetId })}
      />
      <TextField
        name="plan-count"
        label="how many"
        value={values.count}
        unit="cuttings"
        inputMode="numeric"
        required={false}
        error={errors['count']}
        onInput={(count) => set({ count })}
      />
      <ChoiceField
        name="medium-state"
        label="medium is"
        value={values.mediumState}
        choices={[NOT_YET, { value: 'new', words: 'new' }, { value: 'opened', words: 'opened before' }]}
        onChange={(mediumState) => set({ mediumState })}
      />
      <ChoiceField
        name="medium-sterile"
        label="and it is"
        value={values.mediumSterile}
        choices={[NOT_YET, { value: 'true', words: 'sterile' }, { value: 'false', words: 'not sterile' }]}
        onChange={(mediumSterile) => set({ mediumSterile })}
      />
      {NAMES.map((name) => (
        <TextField
          key={name}
          name={`plan-${name}`}
          label={PLAN_NAMES[name]}
          value={values.texts[name]}
          unit=""
          required={false}
          error={undefined}
          onInput={(typed) => set({ texts: { ...values.texts, [name]: typed } })}
        />
      ))}
    </>
  );
}

function StepChoices({ values, errors, set, known: shipped }: PartProps & { known: readonly KnownStep[] }) {
  const change = (id: string, to: Partial<StepChoice>) =>
    set({ steps: values.steps.map((step) => (step.id === id ? { ...step, ...to } : step)) });
  const add = () => {
    const own = { id: nextOwnId(values.steps), name: '', chosen: true, days: '7' };
    set({ steps: [...values.steps, own] });
  };
  return (
    <fieldset class="step">
      <legend>Steps before</legend>
      <p class="hint">Choose those that apply; none is needed for every crop.</p>
      {values.steps.map((step) => (
        <StepChoiceFields
          key={step.id}
          step={step}
          shipped={shipped.find(({ id }) => id === step.id)}
          error={errors[`step ${step.id}`]}
          change={(to) => change(step.id, to)}
        />
      ))}
      <button type="button" onClick={add}>
        Add a step of your own
      </button>
    </fieldset>
  );
}

type ChoiceProps = {
  readonly step: StepChoice;
  readonly shipped: KnownStep | undefined;
  readonly error: string | undefined;
  readonly change: (to: Partial<StepChoice>) => void;
};

function StepChoiceFields({ step, shipped, error, change }: ChoiceProps) {
  const name = shipped?.name ?? (step.name?.trim() || 'step of your own');
  return (
    <div class="step-choice">
      <label class="choice">
        <input
          type="checkbox"
          checked={step.chosen}
          onChange={(event) => change({ chosen: event.currentTarget.checked })}
        />
        {name}
      </label>
      {shipped && !step.chosen && (
        <p class="hint">
          {shipped.what} {beforeWords(shipped.daysBefore)}: {sourceWords(shipped)}.{' '}
          {shipped.disputed !== null && `Disputed: ${shipped.disputed}`}
        </p>
      )}
      {step.chosen && step.name !== null && (
        <TextField
          name={`${step.id}-name`}
          label="what is done"
          value={step.name}
          unit=""
          error={error}
          onInput={(typed) => change({ name: typed.slice(0, 80) })}
        />
      )}
      {step.chosen && (
        <TextField
          name={`${step.id}-days`}
          label={`${name}, days before`}
          value={step.days}
          unit="days"
          inputMode="numeric"
          error={step.name === null ? error : undefined}
          onInput={(days) => change({ days })}
        />
      )}
    </div>
  );
}
