import type { BenchFilter } from '../../../shared/page-routes.ts';
import type { PlaceSummary } from '../../../shared/wire/http.ts';
import { benchesHref, type Crops, choicesOf, NO_FILTER, NO_ZONE } from './filter.ts';

const STATES: readonly (readonly [string, string])[] = [
  ['act', 'needs attention now'],
  ['watch', 'to be watched'],
  ['ok', 'where it should be'],
];

type ChoiceProps = {
  readonly name: keyof BenchFilter;
  readonly filter: BenchFilter;
  readonly options: readonly (readonly [string, string])[];
};

function Choice({ name, filter, options }: ChoiceProps) {
  if (options.length === 0) return null;
  return (
    <label>
      {name}{' '}
      <select
        name={name}
        value={filter[name] ?? ''}
        onChange={({ currentTarget: { value } }) => {
          location.hash = benchesHref({ ...filter, [name]: value === '' ? null : value });
        }}
      >
        <option value="">all</option>
        {options.map(([value, words]) => (
          <option key={value} value={value}>
            {words}
          </option>
        ))}
      </select>
    </label>
  );
}

type BarProps = {
  readonly all: readonly PlaceSummary[];
  readonly shown: number;
  readonly crops: Crops;
  readonly filter: BenchFilter;
};

/** Chooses by zone, state and crop which benches are shown; the choice stands in the address. */
export function FilterBar({ all, shown, crops, filter }: BarProps) {
  const choices = choicesOf(all, crops, filter);
  const isFiltered = Object.values(filter).some((value) => value !== null);
  return (
    <form class="bench-filter" aria-label="Which benches" onSubmit={(event) => event.preventDefault()}>
      <Choice
        name="zone"
        filter={filter}
        options={choices.zones.map((zone) => [zone, zone === NO_ZONE ? 'none' : zone])}
      />
      <Choice name="state" filter={filter} options={STATES} />
      <Choice name="crop" filter={filter} options={choices.crops.map((crop) => [crop, crop])} />
      {isFiltered && (
        <span role="status">
          {shown} of {all.length} shown. <a href={benchesHref(NO_FILTER)}>Show all</a>
        </span>
      )}
    </form>
  );
}
