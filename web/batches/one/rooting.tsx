import type { Batch } from '../../../shared/wire/cuttings/batches.ts';
import { call } from '../../api.ts';
import { useLoaded } from '../../common/hooks.ts';
import { BatchLight } from '../../light/batch-light.tsx';
import { nowMs, reader, unit } from '../../state.ts';
import { demandWords, rootingWords, withoutMistWords } from '../rooting-words.ts';

const RENEW_MS = 60_000;
/** It is summed over the whole record. */
const DEMAND_RENEW_MS = 1_800_000;

/** The clock of a batch: when half had roots or is expected to, and how long it stands without mist. */
export function RootingSection({ batch }: { batch: Batch }) {
  const round = batch.state === 'open' ? Math.floor(nowMs.value / RENEW_MS) : 0;
  const counts = batch.counts.map(({ n, at }) => `${n} ${at}`).join();
  const { value, problem } = useLoaded(`rooting ${batch.id} ${batch.state} ${counts} ${round}`, () =>
    call('getBatchRooting', { params: { id: batch.id } }),
  );
  const mist = value && withoutMistWords(value);
  const halfHour = batch.state === 'open' ? Math.floor(nowMs.value / DEMAND_RENEW_MS) : 0;
  const demand = useLoaded(`demand ${batch.id} ${batch.state} ${halfHour}`, () =>
    call('getBatchDemand', { params: { id: batch.id } }),
  );
  return (
    <>
      <section data-testid="rooting">
        <h2>Its clock</h2>
        {problem && <p class="problem">It cannot be worked out now: {problem}</p>}
        {!value && !problem && <p class="waiting">Working it out…</p>}
        {value && rootingWords(value, reader.value, unit.value).map((words) => <p key={words}>{words}</p>)}
        {demand.value && <p>{demandWords(demand.value)}</p>}
        {mist && <p data-testid="without-mist">{mist}</p>}
      </section>
      {demand.value?.light && <BatchLight batchId={batch.id} light={demand.value.light} />}
    </>
  );
}
