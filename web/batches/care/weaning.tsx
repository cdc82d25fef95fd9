import { useState } from 'preact/hooks';
import type { BatchWeaning, WeaningStepView } from '../../../shared/wire/cuttings/weaning.ts';
import { call } from '../../api.ts';
import { TextField } from '../../common/field.tsx';
import { useLoaded } from '../../common/hooks.ts';
import { IfMay } from '../../common/if-may.tsx';
import { wallTime } from '../../common/time.ts';
import { nowMs, reader, timeZone } from '../../state.ts';
import type { PartProps } from '../one/part.ts';
import { dayOf } from '../words.ts';
import { type StepValues, stepValues, type WeaningValues, weaningOf } from './weaning-form.ts';
import { bandWords, ruleWords, stepHours, stepStateWords, weaningWords } from './weaning-words.ts';

const RENEW_MS = 60_000;
const MOST_STEPS = 12;

/** The plan by which a batch is weaned, and what its record says of each step. */
export function WeaningSection({ batch, edits }: PartProps) {
  const round = batch.state === 'open' ? Math.floor(nowMs.value / RENEW_MS) : 0;
  const entered = JSON.stringify([
    batch.counts,
    batch.stays,
    batch.stuckAt,
    batch.closedAt,
    edits.undo?.words,
  ]);
  const { value, problem, reload } = useLoaded(`weaning ${batch.id} ${round} ${entered}`, () =>
    call('getBatchWeaning', { params: { id: batch.id } }),
  );
  return (
    <section data-testid="weaning">
      <h2>Weaning</h2>
      {problem && <p class="problem">It cannot be worked out now: {problem}</p>}
      {!value && !problem && <p class="waiting">Working it out…</p>}
      {value?.plan === null && <p class="quiet">No plan yet.</p>}
      {value?.plan && <Plan weaning={value} />}
      {value && (
        <IfMay route="setBatchWeaning">
          <details>
            <summary>{value.plan ? 'Change the plan' : 'Plan the weaning'}</summary>
            <PlanForm
              key={JSON.stringify(value.plan)}
              batch={batch}
              edits={edits}
              weaning={value}
              changed={reload}
            />
          </details>
        </IfMay>
      )}
    </section>
  );
}

function Plan({ weaning }: { weaning: BatchWeaning }) {
  const [verdict, ...rest] = weaningWords(weaning, reader.value);
  return (
    <>
      <p data-testid="weaning-verdict">
        <strong>{verdict}</strong>
      </p>
      {rest.map((words) => (
        <p key={words}>{words}</p>
      ))}
      <table class="stacks">
        <thead>
          <tr>
            <th scope="col">step</th>
            <th scope="col">air VPD</th>
            <th scope="col">within</th>
            <th scope="col">more humid</th>
            <th scope="col">drier</th>
            <th scope="col">not known</th>
            <th scope="col">held</th>
          </tr>
        </thead>
        <tbody>
          {weaning.steps.map((step) => (
            <StepRow key={step.from} step={step} />
          ))}
        </tbody>
      </table>
      <p class="quiet">{ruleWords(weaning)}</p>
    </>
  );
}

function StepRow({ step }: { step: WeaningStepView }) {
  const { from, to, hoursWithin, hoursBelow, hoursAbove, hoursUnknown } = step;
  return (
    <tr>
      <th scope="row">
        {dayOf(from, reader.value)} to {dayOf(to, reader.value)}
      </th>
      <td data-label="air VPD">{bandWords(step)}</td>
      <td data-label="within">{stepHours(step, hoursWithin)}</td>
      <td data-label="more humid">{stepHours(step, hoursBelow)}</td>
      <td data-label="drier">{stepHours(step, hoursAbove)}</td>
      <td data-label="not known">{stepHours(step, hoursUnknown)}</td>
      <td data-label="held">{stepStateWords(step)}</td>
    </tr>
  );
}

function firstValues({ plan, usual }: BatchWeaning): WeaningValues {
  const { gateShare, steps } = plan ?? usual;
  const fromMs = plan ? Date.parse(plan.from) : nowMs.value;
  return {
    from: wallTime({ atMs: fromMs, timeZone: timeZone.value }),
    gatePct: String(Math.round(1000 * gateShare) / 10),
    steps: steps.map(stepValues),
  };
}

type PlanProps = PartProps & { readonly weaning: BatchWeaning; readonly changed: () => void };

function PlanForm({ batch, edits, weaning, changed }: PlanProps) {
  const [values, setValues] = useState(() => firstValues(weaning));
  const [errors, setErrors] = useState<Readonly<Record<string, string>>>({});
  const set = (change: Partial<WeaningValues>) => setValues((before) => ({ ...before, ...change }));
  const params = { id: batch.id };
  const { plan } = weaning;
  const back = () =>
    plan ? call('setBatchWeaning', { params, body: plan }) : call('deleteBatchWeaning', { params });
  const submit = async (event: Event) => {
    event.preventDefault();
    const read = weaningOf(values, { stuckMs: Date.parse(batch.stuckAt), timeZone: timeZone.value });
    setErrors(read.errors ?? {});
    const { body } = read;
    if (!body) return;
    await edits.run(async () => {
      await call('setBatchWeaning', { params, body });
      return { words: `Weaning planned from ${dayOf(body.from, reader.value)} on.`, run: back };
    });
    changed();
  };
  const remove = () =>
    edits.run(async () => {
      await call('deleteBatchWeaning', { params });
      return { words: 'Plan of weaning deleted.', run: back };
    });
  return (
    <form class="batch-form" noValidate onSubmit={(event) => void submit(event)}>
      {!plan && <p class="hint">These steps are {weaning.usual.source}.</p>}
      <PlanFields values={values} errors={errors} set={set} />
      <span class="row">
        <button type="submit" class="first" disabled={edits.busy}>
          Save
        </button>
        {plan && (
          <button type="button" disabled={edits.busy} onClick={() => void remove()}>
            Delete
          </button>
        )}
      </span>
    </form>
  );
}

type FieldsProps = {
  readonly values: WeaningValues;
  readonly errors: Readonly<Record<string, string>>;
  readonly set: (change: Partial<WeaningValues>) => void;
};

function PlanFields({ values, errors, set }: FieldsProps) {
  const setStep = (i: number, change: Partial<StepValues>) =>
    set({ steps: values.steps.map((step, k) => (k === i ? { ...step, ...change } : step)) });
  return (
    <>
      <TextField
        name="weaning-from"
        label="from"
        type="datetime-local"
        value={values.from}
        unit=""
        error={errors['from']}
        onInput={(from) => set({ from })}
      />
      <TextField
        name="weaning-gate"
        label="rooted by tug test, at least"
        value={values.gatePct}
        unit="%"
        inputMode="decimal"
        error={errors['gatePct']}
        onInput={(gatePct) => set({ gatePct })}
      />
      {values.steps.map((step, i) => (
        <StepFields
          key={i}
          n={i + 1}
          step={step}
          error={errors[`step ${i}`]}
          set={(change) => setStep(i, change)}
          remove={
            values.steps.length > 1 ? () => set({ steps: values.steps.filter((_, k) => k !== i) }) : null
          }
        />
      ))}
      {values.steps.length < MOST_STEPS && (
        <button
          type="button"
          onClick={() => set({ steps: [...values.steps, { days: '', low: '', high: '' }] })}
        >
          Add a step
        </button>
      )}
    </>
  );
}

type StepProps = {
  readonly n: number;
  readonly step: StepValues;
  readonly error: string | undefined;
  readonly set: (change: Partial<StepValues>) => void;
  readonly remove: (() => void) | null;
};

function StepFields({ n, step, error, set, remove }: StepProps) {
  const field = (name: keyof StepValues, label: string, unit: string) => (
    <TextField
      name={`step-${n}-${name}`}
      label={label}
      value={step[name]}
      unit={unit}
      inputMode="decimal"
      error={undefined}
      onInput={(typed) => set({ [name]: typed })}
    />
  );
  return (
    <fieldset class="step">
      <legend>Step {n}</legend>
      {field('days', 'for', 'days')}
      {field('low', 'VPD from', 'kPa')}
      {field('high', 'to', 'kPa')}
      {error && <p class="problem">{error}</p>}
      {remove && (
        <button type="button" aria-label={`Leave out step ${n}`} onClick={remove}>
          Leave out
        </button>
      )}
    </fieldset>
  );
}
