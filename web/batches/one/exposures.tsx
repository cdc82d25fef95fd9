import type { Batch, BatchExposures, BatchThermalTime } from '../../../shared/wire/cuttings/batches.ts';
import { call } from '../../api.ts';
import { useLoaded } from '../../common/hooks.ts';
import { Scrolling } from '../../common/keys/scrolling.tsx';
import { nowMs, reader, unit } from '../../state.ts';
import { exposureRows } from '../exposure-rows.ts';
import { moment, STAGE_NAMES, thermalTimeWords } from '../words.ts';
import { placeName } from './stays.tsx';

const RENEW_MS = 60_000;

async function throughout(id: string) {
  const [exposures, thermalTime] = await Promise.all([
    call('getBatchExposures', { params: { id } }),
    call('getBatchThermalTime', { params: { id }, query: {} }),
  ]);
  return { exposures, thermalTime };
}

/** What a batch went through, whole and by stage; asked again once a minute while it is open. */
export function useThroughout(batch: Batch) {
  const round = batch.state === 'open' ? Math.floor(nowMs.value / RENEW_MS) : 0;
  const entries = JSON.stringify([batch.stages, batch.stays, batch.stuckAt, batch.closedAt]);
  return useLoaded(`${batch.id} ${round} ${entries}`, () => throughout(batch.id));
}

/** Hours and doses by stage, and thermal time. */
export function BatchExposuresSection({ batch }: { batch: Batch }) {
  const { value, problem } = useThroughout(batch);
  return (
    <section data-testid="batch-exposures">
      <h2>What it went through</h2>
      {problem && <p class="problem">It cannot be counted now: {problem}</p>}
      {!value && !problem && <p class="waiting">Counting…</p>}
      {value && <Throughout {...value} />}
    </section>
  );
}

type ThroughoutProps = { readonly exposures: BatchExposures; readonly thermalTime: BatchThermalTime };

/** The table by stage and the thermal time, as they are printed too. */
export function Throughout({ exposures, thermalTime }: ThroughoutProps) {
  const rows = exposureRows([exposures.whole, ...exposures.stages.map((one) => one.exposures)], unit.value);
  return (
    <>
      <p data-testid="thermal-time">{thermalTimeWords(thermalTime, unit.value)}</p>
      <Scrolling name="Exposures by stage">
        <table class="counts by-stage">
          <thead>
            <tr>
              <td />
              <th scope="col">whole</th>
              {exposures.stages.map(({ n, stage }) => (
                <th key={n} scope="col">
                  {STAGE_NAMES[stage].name.toLowerCase()}
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
      {exposures.missing.map(({ placeId, from, to }) => (
        <p key={`${placeId} ${from}`} class="problem">
          Nothing is counted from {moment(from, reader.value)} to {moment(to, reader.value)}: the record of{' '}
          {placeName(placeId)} is archived or removed.
        </p>
      ))}
    </>
  );
}
