import type { PlaceSummary } from '../../../shared/wire/http.ts';
import { call } from '../../api.ts';
import { renewTraces } from '../../bench/traces.ts';
import { ChoiceField, TextField } from '../../common/field.tsx';
import { celsiusTyped, type FormValues } from '../../common/form.ts';
import { fixed } from '../../common/format.ts';
import { unit } from '../../state.ts';
import { type FieldsProps, PlaceForm } from './place-form.tsx';
import {
  bodyOf,
  DAY_BY_CHOICES,
  DAY_BY_PATH,
  DAY_LIGHT_FIELD,
  FIELD_GROUPS,
  type Field,
  fieldErrors,
  formOf,
} from './targets-form.ts';
import { ceilingWarning } from './targets-warning.ts';

/** The unit a field is typed in; in °F with what is kept beside it. */
function unitWithHint(field: Field, value: string): string {
  if (field.unit !== '°C' || unit.value === 'C') return field.unit;
  const keptC = celsiusTyped(value, 'F', null);
  return typeof keptC === 'number' ? `°F = ${fixed(keptC, 1)} °C` : '°F';
}

function TargetInput({ field, values, errors, set }: FieldsProps & { field: Field }) {
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

function DayBy(props: FieldsProps & { located: boolean }) {
  const kind = props.values[DAY_BY_PATH] ?? 'clock';
  const choice = DAY_BY_CHOICES.find((known) => known.kind === kind);
  const isAnswered = kind === 'sun' && props.located;
  return (
    <>
      <ChoiceField
        name={DAY_BY_PATH}
        label="day and night set by"
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

function CeilingWarning({ values }: Pick<FieldsProps, 'values'>) {
  const warning = ceilingWarning(values, unit.value);
  return (
    <p class={warning ? 'problem' : ''} role="status">
      {warning}
    </p>
  );
}

/** The bands of a place as inputs in the order of the section; saved, they hold from now. */
export function TargetsForm({ place }: { place: PlaceSummary }) {
  const save = async (values: FormValues) => {
    await call('setTargets', { params: { id: place.id }, body: bodyOf(values, place.targets, unit.value) });
    renewTraces(place.id);
  };
  return (
    <PlaceForm
      // in another unit other numbers stand in the inputs
      key={unit.value}
      place={place}
      name="targets"
      heading="Targets"
      about="Targets for this place. Changes apply from now; earlier hours keep the targets they were counted against."
      route="setTargets"
      inForce={() => formOf(place.targets, unit.value)}
      save={save}
      errorsOf={fieldErrors}
      saved="Saved. These targets hold from now."
      saveName="Save"
      fields={(form) =>
        FIELD_GROUPS.map((group) => (
          <fieldset key={group.name}>
            <legend>{group.name}</legend>
            {group.name === 'day and night' && (
              <DayBy {...form} located={place.settings.coordinates !== null} />
            )}
            {group.fields.map((field) => (
              <TargetInput key={field.path} field={field} {...form} />
            ))}
            {group.name === 'day and night' && (
              <p class="quiet">
                Bands move in a straight line from one half to the other, from the moment it turns on. With 0
                they jump.
              </p>
            )}
            {group.name === 'air' && <CeilingWarning values={form.values} />}
          </fieldset>
        ))
      }
    />
  );
}
