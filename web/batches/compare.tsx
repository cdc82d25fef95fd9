import { useState } from 'preact/hooks';
import type { Batch, Comparison } from '../../shared/wire/cuttings/batches.ts';
import { call } from '../api.ts';
import { hoursText } from '../common/format.ts';
import { useLoaded } from '../common/hooks.ts';
import { Scrolling } from '../common/keys/scrolling.tsx';
import { batchHref } from '../frame/route.ts';
import { reader, unit } from '../state.ts';
import { DAY_QUANTITIES, type DayQuantity, dayRows, meanDifferenceWords } from './compare-days.ts';
import { exposureRows } from './exposure-rows.ts';
import { placeName } from './one/stays.tsx';
import {
  batchName,
  dayOf,
  differenceWords,
  NO_COUNT_TO_COMPARE,
  strikeWords,
  thermalTimeWords,
} from './words.ts';

type CompareProps = { readonly of: 'batches' | 'places'; readonly ids: readonly string[] };

async function compared({ of, ids }: CompareProps) {
  const query = of === 'batches' ? { batches: ids.join(',') } : { places: ids.join(',') };
  const comparison = await call('compareBatches', { query });
  const batches = await Promise.all(
    comparison.batches.map(({ batchId }) => call('getBatch', { params: { id: batchId } })),
  );
  return { comparison, batches };
}

/** Batches, or benches, beside each other over the same time since sticking. */
export function ComparePage({ of, ids }: CompareProps) {
  const { value, problem, loading } = useLoaded(`${of} ${ids.join()}`, () => compared({ of, ids }));
  return (
    <div class="plain-page compare-page">
      <h1>{of === 'batches' ? 'Compare batches' : 'Compare benches'}</h1>
      {problem && (
        <p class="problem" role="status">
          They cannot be compared: {problem} <a href="#/batches">Go to the batches.</a>
        </p>
      )}
      {!value && loading && <p class="waiting">Comparing…</p>}
      {value && <Compared {...value} of={of} />}
    </div>
  );
}

type ComparedProps = {
  readonly of: 'batches' | 'places';
  readonly comparison: Comparison;
  readonly batches: readonly Batch[];
};

/** With the day it was stuck, so that two of one crop have two names. */
function fullName(batch: Batch): string {
  return `${batchName(batch)}, stuck ${dayOf(batch.stuckAt, reader.value)}`;
}

function Compared({ of, comparison, batches }: ComparedProps) {
  const named = (id: string) => {
    const batch = batches[comparison.batches.findIndex((one) => one.id === id)];
    const bench = of === 'places' ? `${placeName(id)}, ` : '';
    return { id, name: batch ? `${bench}${fullName(batch)}` : id };
  };
  return (
    <>
      <section data-testid="differences">
        <h2>Strike</h2>
        <ul>
          {comparison.batches.map(({ id, batchId, strike }) => (
            <li key={id}>
              <a href={batchHref(batchId)}>{named(id).name}</a>:{' '}
              {strike ? `${strikeWords(strike)}.` : 'not counted yet.'}
            </li>
          ))}
        </ul>
        {comparison.pairs.map(({ first, second, strike }) => (
          <p key={`${first} ${second}`} class="strike">
            {strike ? differenceWords(strike, [named(first), named(second)]) : NO_COUNT_TO_COMPARE}
          </p>
        ))}
      </section>
      <section>
        <h2>What they went through</h2>
        <p class="quiet">
          Over the first {hoursText(comparison.hours)} since each was stuck
          {of === 'places' && ', as read at each bench'}.
        </p>
        {comparison.pairs.flatMap(({ first, second, means }) =>
          means.map((mean) => {
            const words = meanDifferenceWords(mean, [named(first).name, named(second).name], unit.value);
            return words && <p key={`${first} ${second} ${mean.quantity}`}>{words}</p>;
          }),
        )}
        <Exposed names={comparison.batches.map(({ id }) => named(id).name)} comparison={comparison} />
        <ul>
          {comparison.batches.map(({ id, thermalTime }) => (
            <li key={id}>
              {named(id).name}: {thermalTimeWords(thermalTime, unit.value)}
            </li>
          ))}
        </ul>
      </section>
      <DayByDay of={of} ids={comparison.batches.map(({ id }) => id)} nameOf={(id) => named(id).name} />
    </>
  );
}

type ExposedProps = { readonly names: readonly string[]; readonly comparison: Comparison };

/** Hours and doses of each beside one another. */
function Exposed({ names, comparison }: ExposedProps) {
  const rows = exposureRows(
    comparison.batches.map(({ exposures }) => exposures),
    unit.value,
  );
  return (
    <Scrolling name="What they went through">
      <table class="counts by-stage">
        <thead>
          <tr>
            <td />
            {names.map((name) => (
              <th key={name} scope="col">
                {name}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map(({ name, cells }) => (
            <tr key={name}>
              <th scope="row">{name}</th>
              {cells.map((cell, i) => (
                <td key={i}>{cell}</td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </Scrolling>
  );
}

type DayByDayProps = CompareProps & { readonly nameOf: (id: string) => string };

/** One quantity day by day, each batch by its own days since sticking. */
function DayByDay({ of, ids, nameOf }: DayByDayProps) {
  const [quantity, setQuantity] = useState<DayQuantity>('rootZoneMeanC');
  const { value, problem } = useLoaded(`days ${of} ${ids.join()}`, () =>
    call('compareDays', { query: of === 'batches' ? { batches: ids.join(',') } : { places: ids.join(',') } }),
  );
  return (
    <section data-testid="day-by-day">
      <h2>Day by day since sticking</h2>
      <label class="choice">
        Show{' '}
        <select
          value={quantity}
          onChange={({ currentTarget }) => setQuantity(currentTarget.value as DayQuantity)}
        >
          {Object.entries(DAY_QUANTITIES).map(([id, { name }]) => (
            <option key={id} value={id}>
              {name}
            </option>
          ))}
        </select>
      </label>
      {problem && <p class="problem">The days cannot be compared now: {problem}</p>}
      {!value && !problem && <p class="waiting">Counting day by day…</p>}
      {value && (
        <div class="wide">
          <table class="counts by-stage">
            <thead>
              <tr>
                <th scope="col">day</th>
                {ids.map((id) => (
                  <th key={id} scope="col">
                    {nameOf(id)}
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>
              {dayRows(value, quantity, unit.value).map(({ day, cells }) => (
                <tr key={day}>
                  <th scope="row">{day}</th>
                  {cells.map((cell, i) => (
                    <td key={i}>{cell}</td>
                  ))}
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
    </section>
  );
}
