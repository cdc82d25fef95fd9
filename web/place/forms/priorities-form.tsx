import type { PlaceSummary } from '../../../shared/wire/http.ts';
import { call } from '../../api.ts';
import { ChoiceField } from '../../common/field.tsx';
import { PlaceForm } from './place-form.tsx';
import { prioritiesBodyOf, prioritiesFormOf, priorityFields } from './priorities-form.ts';

/** The priority of each alarm at a place, with the default that holds where nothing is chosen. */
export function PrioritiesForm({ place }: { place: PlaceSummary }) {
  return (
    <PlaceForm
      place={place}
      name="priorities"
      heading="Alarm priorities"
      about="High calls at once, in quiet hours too. Medium waits for the end of quiet hours, low for the morning sheet."
      route="changePlace"
      inForce={() => prioritiesFormOf(place.settings)}
      save={(values) =>
        call('changePlace', { params: { id: place.id }, body: prioritiesBodyOf(values, place.settings) })
      }
      errorsOf={() => ({})}
      saved="Priorities saved."
      saveName="Save"
      fields={({ values, set }) =>
        priorityFields(place.targets).map((field) => (
          <ChoiceField
            key={field.path}
            name={field.path}
            label={field.label}
            value={values[field.path] ?? ''}
            choices={field.choices}
            onChange={(value) => set(field.path, value)}
          />
        ))
      }
    />
  );
}
