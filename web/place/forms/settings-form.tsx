import type { PlaceSummary } from '../../../shared/wire/http.ts';
import { call } from '../../api.ts';
import { ChoiceField, TextField } from '../../common/field.tsx';
import { unit } from '../../state.ts';
import { PlaceForm } from './place-form.tsx';
import {
  SETTING_GROUPS,
  type SettingField,
  settingsBodyOf,
  settingsErrors,
  settingsFormOf,
  settingUnit,
} from './settings-form.ts';

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
      unit={settingUnit(field, unit.value)}
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
      inForce={() => settingsFormOf(place.settings, unit.value)}
      save={(values) =>
        call('changePlace', {
          params: { id: place.id },
          body: settingsBodyOf(values, place.settings, unit.value),
        })
      }
      errorsOf={(details) => settingsErrors(details, unit.value)}
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
