import type { PlaceSummary } from '../../../shared/wire/http.ts';
import { call } from '../../api.ts';
import { ChoiceField, TextField } from '../../common/field.tsx';
import { fixed, readingDifference } from '../../common/format.ts';
import { unit } from '../../state.ts';
import { PlaceForm } from './place-form.tsx';
import {
  SETTING_GROUPS,
  type SettingField,
  settingsBodyOf,
  settingsErrors,
  settingsFormOf,
} from './settings-form.ts';

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
      inputMode={field.text ? 'text' : 'decimal'}
      {...(field.empty !== undefined && value.trim() === '' ? { hint: `empty: ${field.empty}` } : {})}
      required={field.empty === undefined}
      onInput={set}
    />
  );
}

/** What is known of a place besides its targets: location, its leaf, its sensors, how its alarm waits. */
export function SettingsForm({ place }: { place: PlaceSummary }) {
  return (
    <PlaceForm
      place={place}
      name="settings"
      heading="Settings"
      about="Used in every calculation. Changes apply to the whole record."
      route="changePlace"
      inForce={() => settingsFormOf(place.settings)}
      save={(values) =>
        call('changePlace', { params: { id: place.id }, body: settingsBodyOf(values, place.settings) })
      }
      errorsOf={settingsErrors}
      saved="Settings saved."
      saveName="Save"
      fields={({ values, errors, set }) =>
        SETTING_GROUPS.map((group) => (
          <fieldset key={group.name}>
            <legend>{group.name}</legend>
            <p class="quiet">{group.hint}</p>
            {group.fields.map((field) => (
              <SettingInput
                key={field.path}
                field={field}
                value={values[field.path] ?? ''}
                error={errors[field.path]}
                set={(value) => set(field.path, value)}
              />
            ))}
          </fieldset>
        ))
      }
    />
  );
}
