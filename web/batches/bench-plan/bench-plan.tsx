import type { Batch } from '../../../shared/wire/cuttings/batches.ts';
import { batchHref } from '../../frame/route.ts';
import { reader } from '../../state.ts';
import { batchName, moment } from '../words.ts';
import { benchPlan, rowName } from './bench-plan.ts';

/** Which batches stand where at a place, and since when; by row and column where their positions name them. */
export function BenchPlanSection({ batches }: { batches: readonly Batch[] }) {
  const noted = batches.filter(({ position }) => position !== null);
  if (noted.length === 0) return null;
  const plan = benchPlan(noted);
  return (
    <details data-testid="bench-plan" open>
      <summary>Where they stand</summary>
      <ul>
        {noted.map((batch) => (
          <li key={batch.id}>
            {batch.position}: <a href={batchHref(batch.id)}>{batchName(batch)}</a>, here since{' '}
            {moment(batch.stays.at(-1)?.from ?? batch.stuckAt, reader.value)}
          </li>
        ))}
      </ul>
      {plan && (
        <div class="wide">
          <table class="bench-plan">
            <caption class="unseen">Bench plan by row and column</caption>
            <thead>
              <tr>
                <td />
                {plan.cells[0]?.map((_, column) => (
                  <th key={column} scope="col">
                    {column + 1}
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>
              {plan.cells.map((cells, row) => (
                <tr key={row}>
                  <th scope="row">{rowName(row)}</th>
                  {cells.map((here, column) => (
                    <td key={column} class={here.length > 0 ? 'taken' : ''}>
                      {here.map(batchName).join(', ')}
                    </td>
                  ))}
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
    </details>
  );
}
