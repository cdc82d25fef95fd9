import { useId, useState } from 'preact/hooks';
import type { Targets } from '../../shared/model/targets.ts';
import type { PlaceSummary } from '../../shared/wire/http.ts';
import { ApiError, api, problemWords } from '../api.ts';
import { degreeSign, temperatureText } from '../state/format.ts';
import { bodyOf, FIELD_GROUPS, type Field, fieldErrors, formOf } from '../state/targets-form.ts';
import { say, unit } from '../state.ts';
import { renewTraces } from '../traces.ts';

function dayWords({ dayBy }: Targets): string {
  if (dayBy?.kind === 'sun')
    return 'Day and night follow the sun here; these times hold where it cannot tell.';
  if (dayBy?.kind === 'light')
    return 'Day and night follow the light probe here; these times hold where it is silent.';
  return '';
}

type InputProps = {
  field: Field;
  value: string;
  error: string | undefined;
  onInput: (value: string) => void;
};

function hintOf(field: Field, value: string): string {
  const number = Number(value.replace(',', '.'));
  if (field.unit !== '°C' || unit.value !== 'F' || value.trim() === '' || Number.isNaN(number)) return '';
  return ` = ${temperatureText(number, 'F')} ${degreeSign('F')}`;
}

function TargetInput({ field, value, error, onInput }: InputProps) {
  const id = useId();
  const shared = {
    id,
    name: field.path,
    value,
    placeholder: field.unit === '' ? '06:00' : '',
    inputMode: field.unit === '' ? 'numeric' : 'decimal',
    autocomplete: 'off',
    required: true,
    'aria-invalid': error !== undefined,
    ...(error === undefined ? {} : { 'aria-describedby': `${id}-error` }),
    onInput: (event: { currentTarget: HTMLInputElement }) => onInput(event.currentTarget.value),
  };
  return (
    <div class={`field${error ? ' wrong' : ''}`}>
      <label for={id}>{field.label}</label>
      <span class="input">
        <input {...shared} />
        <span>
          {field.unit}
          {hintOf(field, value)}
        </span>
      </span>
      {error && (
        <p class="problem" id={`${id}-error`}>
          {error}
        </p>
      )}
    </div>
  );
}

/** The bands of a place as inputs in the order of the section; saved, they hold from now. */
export function TargetsForm({ place }: { place: PlaceSummary }) {
  const [values, setValues] = useState(formOf(place.targets));
  const [errors, setErrors] = useState<Record<string, string>>({});
  const [outcome, setOutcome] = useState<{ text: string; failed: boolean } | null>(null);
  const [busy, setBusy] = useState(false);
  const save = async (event: Event) => {
    event.preventDefault();
    setBusy(true);
    setErrors({});
    try {
      await api.putTargets(place.id, bodyOf(values, place.targets));
      renewTraces(place.id);
      setOutcome({ text: 'Saved. These targets hold from now.', failed: false });
      say(`${place.name}: targets saved.`);
    } catch (thrown) {
      setErrors(thrown instanceof ApiError ? fieldErrors(thrown.problem.details) : {});
      setOutcome({ text: `Not saved: ${problemWords(thrown)}`, failed: true });
    } finally {
      setBusy(false);
    }
  };
  return (
    <details class="targets">
      <summary>Targets</summary>
      <form onSubmit={save} noValidate>
        <p>
          What the place is held to. A change holds from now on; what was recorded before stays counted
          against the targets of its time.
        </p>
        <div class="groups">
          {FIELD_GROUPS.map((group) => (
            <fieldset key={group.name}>
              <legend>{group.name}</legend>
              {group.name === 'clock' && <p class="quiet">{dayWords(place.targets)}</p>}
              {group.fields.map((field) => (
                <TargetInput
                  key={field.path}
                  field={field}
                  value={values[field.path] ?? ''}
                  error={errors[field.path]}
                  onInput={(value) => setValues((before) => ({ ...before, [field.path]: value }))}
                />
              ))}
            </fieldset>
          ))}
        </div>
        <span class="row">
          <button type="submit" class="first" disabled={busy}>
            Save: holds from now
          </button>
          <button type="button" onClick={() => setValues(formOf(place.targets))}>
            Back to those in force
          </button>
        </span>
        <p class={outcome?.failed ? 'problem' : ''} role="status">
          {outcome?.text}
        </p>
      </form>
    </details>
  );
}
