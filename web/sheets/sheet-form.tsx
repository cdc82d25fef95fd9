import { useState } from 'preact/hooks';
import type { Sheet } from '../../shared/model/cuttings/sheet.ts';
import { ApiError, call, problemWords } from '../api.ts';
import { ChoiceField, type Outcome, OutcomeLine, TextField } from '../common/field.tsx';
import { celsiusTyped, type FormValues } from '../common/form.ts';
import { fixed } from '../common/format.ts';
import { keepFocus } from '../common/keys/keep-focus.ts';
import { KIND_CHOICES, ROOTS_CHOICES } from '../place/forms/set-up.ts';
import { say, unit } from '../state.ts';
import { FIGURE_GROUPS, type Figure } from './figures.ts';
import { bodyOf, fieldErrors, fieldOf, formOf } from './sheet-form.ts';

type FieldsProps = {
  readonly values: FormValues;
  readonly errors: Readonly<Record<string, string>>;
  readonly set: (path: string, value: string) => void;
};

type SheetFormProps = { readonly sheet: Sheet; readonly saved: () => void; readonly close: () => void };

/** Changes an own sheet: saved, it is the next version, and batches keep the one they have. */
export function SheetForm({ sheet, saved, close }: SheetFormProps) {
  const [values, setValues] = useState<FormValues>(() => formOf(sheet, unit.value));
  // what is typed stays in the unit in which it was begun
  const [typedIn] = useState(unit.value);
  const [errors, setErrors] = useState<Record<string, string>>({});
  const [outcome, setOutcome] = useState<Outcome>(null);
  const [busy, setBusy] = useState(false);
  const set = (path: string, value: string) => setValues((before) => ({ ...before, [path]: value }));
  const save = async (event: Event) => {
    event.preventDefault();
    const restoreFocus = keepFocus();
    setBusy(true);
    setErrors({});
    try {
      const body = bodyOf(values, sheet, typedIn);
      const next = await call('changeSheet', { params: { id: sheet.id }, body });
      say(`${next.name}: version ${next.version} saved.`);
      saved();
    } catch (thrown) {
      const details = thrown instanceof ApiError ? thrown.problem.details : null;
      setErrors(fieldErrors(details, sheet.stages.length));
      setOutcome({ text: `Not saved: ${problemWords(thrown)}`, failed: true });
    } finally {
      setBusy(false);
      restoreFocus();
    }
  };
  const fields = { values, errors, set };
  return (
    <form class="sheet-form" onSubmit={save} noValidate data-testid="sheet-form">
      <p>Saved, it is the next version. Batches keep the version they were given.</p>
      <About {...fields} />
      {sheet.stages.map((stage, i) => (
        <details key={stage.id} open={i === 0 || hasErrors(errors, i)}>
          <summary>{stage.name}</summary>
          <div class="groups">
            {FIGURE_GROUPS.map(({ name, figures }) => (
              <fieldset key={name}>
                <legend>{name}</legend>
                {figures.map((figure) => (
                  <FigureInputs key={figure.label} figure={figure} stage={i} {...fields} />
                ))}
              </fieldset>
            ))}
          </div>
        </details>
      ))}
      <TextField
        name="source"
        label="source"
        value={values['source'] ?? ''}
        unit=""
        hint="Where the changed figures come from; empty: own figures, without a source."
        error={errors['source']}
        required={false}
        onInput={(typed) => set('source', typed)}
      />
      <span class="row">
        <button type="submit" class="first" disabled={busy}>
          Save as the next version
        </button>
        <button type="button" onClick={close}>
          Leave it
        </button>
      </span>
      <OutcomeLine outcome={outcome} />
    </form>
  );
}

function hasErrors(errors: Readonly<Record<string, string>>, stage: number): boolean {
  return Object.keys(errors).some((path) => path.startsWith(`stages.${stage}.`));
}

function About({ values, errors, set }: FieldsProps) {
  const kinds = (values['placeKinds'] ?? '').split(',').filter((kind) => kind !== '');
  const toggle = (kind: string, on: boolean) =>
    set('placeKinds', (on ? [...kinds, kind] : kinds.filter((other) => other !== kind)).join(','));
  return (
    <div class="groups">
      <fieldset>
        <legend>what it is for</legend>
        {(['name', 'crop'] as const).map((path) => (
          <TextField
            key={path}
            name={path}
            label={path}
            value={values[path] ?? ''}
            unit=""
            error={errors[path]}
            onInput={(typed) => set(path, typed)}
          />
        ))}
        <ChoiceField
          name="cuttingType"
          label="cuttings"
          value={values['cuttingType'] ?? ''}
          choices={ROOTS_CHOICES}
          onChange={(chosen) => set('cuttingType', chosen)}
        />
      </fieldset>
      <fieldset>
        <legend>where they stand</legend>
        {KIND_CHOICES.map(({ value, words }) => (
          <label key={value} class="tick">
            <input
              type="checkbox"
              checked={kinds.includes(value)}
              onChange={(event) => toggle(value, event.currentTarget.checked)}
            />{' '}
            {words}
          </label>
        ))}
        {errors['placeKinds'] && <p class="problem">{errors['placeKinds']}</p>}
        <label class="tick">
          <input
            type="checkbox"
            checked={values['bottomHeat'] === 'true'}
            onChange={(event) => set('bottomHeat', String(event.currentTarget.checked))}
          />{' '}
          with bottom heat
        </label>
      </fieldset>
    </div>
  );
}

function FigureInputs({
  figure,
  stage,
  values,
  errors,
  set,
}: FieldsProps & { figure: Figure; stage: number }) {
  const [first] = figure.paths;
  return (
    <>
      {figure.paths.map((path) => {
        const field = fieldOf(stage, path);
        const value = values[field] ?? '';
        const end = figure.paths.length === 1 ? '' : path === first ? ', from' : ', to';
        return (
          <TextField
            key={path}
            name={field}
            label={`${figure.label}${end}`}
            value={value}
            unit={unitWithHint(figure, value)}
            error={errors[field]}
            placeholder={figure.unit === '' ? '06:00' : ''}
            inputMode={figure.unit === '' ? 'numeric' : 'decimal'}
            required={!figure.optional}
            onInput={(typed) => set(field, typed)}
          />
        );
      })}
    </>
  );
}

/** The unit a figure is typed in; in °F with what is kept beside it. */
function unitWithHint(figure: Figure, value: string): string {
  if (figure.unit !== '°C' || unit.value === 'C') return figure.unit;
  const keptC = celsiusTyped(value, 'F', null);
  return typeof keptC === 'number' ? `°F = ${fixed(keptC, 1)} °C` : '°F';
}
