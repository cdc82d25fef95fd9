import { useState } from 'preact/hooks';
import type { PlaceSummary } from '../../shared/wire/http.ts';
import { may } from '../access.ts';
import { ApiError, api, problemWords } from '../api.ts';
import type { FormValues } from '../state/form.ts';
import { fixed, readingDifference } from '../state/format.ts';
import {
  SETTING_GROUPS,
  type SettingField,
  settingsBodyOf,
  settingsErrors,
  settingsFormOf,
} from '../state/settings-form.ts';
import { say, unit } from '../state.ts';
import { ChoiceField, type Outcome, OutcomeLine, TextField } from './field.tsx';
import { IfMay } from './if-may.tsx';

function unitWords(field: SettingField, value: string): string {
  const number = Number(value.replace(',', '.'));
  if (field.unit !== 'K' || unit.value !== 'F' || value.trim() === '' || Number.isNaN(number))
    return field.unit;
  return `K = ${fixed(readingDifference(number, 'F'), 1)} °F`;
}

type InputProps = {
  readonly field: SettingField;
  readonly value: string;
  readonly error: string | undefined;
  readonly set: (value: string) => void;
};

function SettingInput({ field, value, error, set }: InputProps) {
  if (field.choices) {
    const choices = field.choices.map((choice) => ({ value: choice, words: choice }));
    return (
      <ChoiceField name={field.path} label={field.label} value={value} choices={choices} onChange={set} />
    );
  }
  return (
    <TextField
      name={field.path}
      label={field.label}
      value={value}
      unit={unitWords(field, value)}
      error={error}
      inputMode="decimal"
      {...(field.empty !== undefined && value.trim() === '' ? { hint: `empty: ${field.empty}` } : {})}
      required={field.empty === undefined}
      onInput={set}
    />
  );
}

/** What is known of a place besides its targets: where it lies, its leaf, its sensors, how its alarm waits. */
export function SettingsForm({ place }: { place: PlaceSummary }) {
  const [values, setValues] = useState<FormValues>(settingsFormOf(place.settings));
  const [errors, setErrors] = useState<Record<string, string>>({});
  const [outcome, setOutcome] = useState<Outcome>(null);
  const [busy, setBusy] = useState(false);
  const save = async (event: Event) => {
    event.preventDefault();
    setBusy(true);
    setErrors({});
    try {
      await api.patchPlace(place.id, settingsBodyOf(values, place.settings));
      setOutcome({ text: 'Settings saved.', failed: false });
      say(`${place.name}: settings saved.`);
    } catch (thrown) {
      setErrors(thrown instanceof ApiError ? settingsErrors(thrown.problem.details) : {});
      setOutcome({ text: `Not saved: ${problemWords(thrown)}`, failed: true });
    } finally {
      setBusy(false);
    }
  };
  return (
    <details class="settings">
      <summary>Settings</summary>
      <form onSubmit={save} noValidate>
        <p>What the numbers are reckoned with. A change holds for the whole record.</p>
        <fieldset class="groups" disabled={!may('patch /api/v1/places/{id}')}>
          {SETTING_GROUPS.map((group) => (
            <fieldset key={group.name}>
              <legend>{group.name}</legend>
              <p class="quiet">{group.hint}</p>
              {group.fields.map((field) => (
                <SettingInput
                  key={field.path}
                  field={field}
                  value={values[field.path] ?? ''}
                  error={errors[field.path]}
                  set={(value) => setValues((before) => ({ ...before, [field.path]: value }))}
                />
              ))}
            </fieldset>
          ))}
        </fieldset>
        <IfMay route="patch /api/v1/places/{id}">
          <span class="row">
            <button type="submit" class="first" disabled={busy}>
              Keep these settings
            </button>
            <button type="button" onClick={() => setValues(settingsFormOf(place.settings))}>
              Back to those in force
            </button>
          </span>
        </IfMay>
        <OutcomeLine outcome={outcome} />
      </form>
    </details>
  );
}
