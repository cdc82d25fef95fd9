import { useState } from 'preact/hooks';
import type { PlaceSummary } from '../../shared/wire/http.ts';
import { may } from '../access.ts';
import { ApiError, api, problemWords } from '../api.ts';
import type { FormValues } from '../state/form.ts';
import { degreeSign, temperatureText } from '../state/format.ts';
import {
  bodyOf,
  DAY_BY_CHOICES,
  DAY_BY_PATH,
  DAY_LIGHT_FIELD,
  FIELD_GROUPS,
  type Field,
  fieldErrors,
  formOf,
} from '../state/targets-form.ts';
import { ceilingWarning } from '../state/targets-warning.ts';
import { say, unit } from '../state.ts';
import { renewTraces } from '../traces.ts';
import { ChoiceField, type Outcome, OutcomeLine, TextField } from './field.tsx';
import { IfMay } from './if-may.tsx';

type FormProps = {
  readonly values: FormValues;
  readonly errors: Readonly<Record<string, string>>;
  readonly set: (path: string, value: string) => void;
};

function unitWithHint(field: Field, value: string): string {
  const number = Number(value.replace(',', '.'));
  const none = field.unit !== '°C' || unit.value !== 'F' || value.trim() === '' || Number.isNaN(number);
  return none ? field.unit : `${field.unit} = ${temperatureText(number, 'F')} ${degreeSign('F')}`;
}

function TargetInput({ field, values, errors, set }: FormProps & { field: Field }) {
  const value = values[field.path] ?? '';
  return (
    <TextField
      name={field.path}
      label={field.label}
      value={value}
      unit={unitWithHint(field, value)}
      error={errors[field.path]}
      placeholder={field.unit === '' ? '06:00' : ''}
      inputMode={field.unit === '' ? 'numeric' : 'decimal'}
      onInput={(typed) => set(field.path, typed)}
    />
  );
}

function DayBy(props: FormProps & { located: boolean }) {
  const kind = props.values[DAY_BY_PATH] ?? 'clock';
  const choice = DAY_BY_CHOICES.find((known) => known.kind === kind);
  const isAnswered = kind === 'sun' && props.located;
  return (
    <>
      <ChoiceField
        name={DAY_BY_PATH}
        label="told apart by"
        value={kind}
        choices={DAY_BY_CHOICES.map((known) => ({ value: known.kind, words: known.words }))}
        onChange={(chosen) => props.set(DAY_BY_PATH, chosen)}
      />
      {kind === 'light' && <TargetInput field={DAY_LIGHT_FIELD} {...props} />}
      {choice?.hint && (
        <p class="quiet">
          {isAnswered ? 'These times hold where the sun neither rises nor sets.' : choice.hint}
        </p>
      )}
    </>
  );
}

function CeilingWarning({ values }: Pick<FormProps, 'values'>) {
  const warning = ceilingWarning(values, unit.value);
  return (
    <p class={warning ? 'problem' : ''} role="status">
      {warning}
    </p>
  );
}

/** The bands of a place as inputs in the order of the section; saved, they hold from now. */
export function TargetsForm({ place }: { place: PlaceSummary }) {
  const [values, setValues] = useState<FormValues>(formOf(place.targets));
  const [errors, setErrors] = useState<Record<string, string>>({});
  const [outcome, setOutcome] = useState<Outcome>(null);
  const [busy, setBusy] = useState(false);
  const set = (path: string, value: string) => setValues((before) => ({ ...before, [path]: value }));
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
  const form = { values, errors, set };
  return (
    <details class="targets">
      <summary>Targets</summary>
      <form onSubmit={save} noValidate>
        <p>
          What the place is held to. A change holds from now on; what was recorded before stays counted
          against the targets of its time.
        </p>
        <fieldset class="groups" disabled={!may('put /api/v1/places/{id}/targets')}>
          {FIELD_GROUPS.map((group) => (
            <fieldset key={group.name}>
              <legend>{group.name}</legend>
              {group.name === 'day and night' && (
                <DayBy {...form} located={place.settings.coordinates !== null} />
              )}
              {group.fields.map((field) => (
                <TargetInput key={field.path} field={field} {...form} />
              ))}
              {group.name === 'air' && <CeilingWarning values={values} />}
            </fieldset>
          ))}
        </fieldset>
        <IfMay route="put /api/v1/places/{id}/targets">
          <span class="row">
            <button type="submit" class="first" disabled={busy}>
              Save: holds from now
            </button>
            <button type="button" onClick={() => setValues(formOf(place.targets))}>
              Back to those in force
            </button>
          </span>
        </IfMay>
        <OutcomeLine outcome={outcome} />
      </form>
    </details>
  );
}
