import type { Batch, Comparison } from '../../shared/wire/cuttings/batches.ts';
import { call } from '../api.ts';
import { hoursText } from '../common/format.ts';
import { useLoaded } from '../common/hooks.ts';
import { Scrolling } from '../common/keys/scrolling.tsx';
import { batchHref } from '../frame/route.ts';
import { reader, unit } from '../state.ts';
import { exposureRows } from './exposure-rows.ts';
import {
  batchName,
  dayOf,
  differenceWords,
  NO_COUNT_TO_COMPARE,
  strikeWords,
  thermalTimeWords,
} from './words.ts';

async function compared(ids: readonly string[]) {
  const [comparison, ...batches] = await Promise.all([
    call('compareBatches', { query: { batches: ids.join(',') } }),
    ...ids.map((id) => call('getBatch', { params: { id } })),
  ]);
  return { comparison, batches };
}

/** Batches beside each other over the same time since sticking. */
export function ComparePage({ batchIds }: { batchIds: readonly string[] }) {
  const { value, problem, loading } = useLoaded(batchIds.join(), () => compared(batchIds));
  return (
    <div class="plain-page compare-page">
      <h1>Compare batches</h1>
      {problem && (
        <p class="problem" role="status">
          They cannot be compared: {problem} <a href="#/batches">Go to the batches.</a>
        </p>
      )}
      {!value && loading && <p class="waiting">Comparing…</p>}
      {value && <Compared {...value} />}
    </div>
  );
}

type ComparedProps = { readonly comparison: Comparison; readonly batches: readonly Batch[] };

/** With the day it was stuck, so that two of one crop have two names. */
function fullName(batch: Batch): string {
  return `${batchName(batch)}, stuck ${dayOf(batch.stuckAt, reader.value)}`;
}

function Compared({ comparison, batches }: ComparedProps) {
  const named = (id: string) => {
    const batch = batches.find((one) => one.id === id);
    return { id, name: batch ? fullName(batch) : id };
  };
  const rows = exposureRows(
    comparison.batches.map(({ exposures }) => exposures),
    unit.value,
  );
  return (
    <>
      <section data-testid="differences">
        <h2>Strike</h2>
        <ul>
          {comparison.batches.map(({ id, strike }) => (
            <li key={id}>
              <a href={batchHref(id)}>{named(id).name}</a>:{' '}
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
        <p class="quiet">Over the first {hoursText(comparison.hours)} since each was stuck.</p>
        <Scrolling name="What they went through">
          <table class="counts by-stage">
            <thead>
              <tr>
                <td />
                {comparison.batches.map(({ id }) => (
                  <th key={id} scope="col">
                    {named(id).name}
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
        <ul>
          {comparison.batches.map(({ id, thermalTime }) => (
            <li key={id}>
              {named(id).name}: {thermalTimeWords(thermalTime, unit.value)}
            </li>
          ))}
        </ul>
      </section>
    </>
  );
}
