import type { Sheet } from '../../shared/model/cuttings/sheet.ts';
import type { Targets } from '../../shared/model/targets.ts';
import type { Batch } from '../../shared/wire/cuttings/batches.ts';
import type { PlaceSummary } from '../../shared/wire/http.ts';
import { call } from '../api.ts';
import { useLoaded } from '../common/hooks.ts';
import { IfMay } from '../common/if-may.tsx';
import { batchHref } from '../frame/route.ts';
import { nowMs, reader, unit } from '../state.ts';
import { disagreements } from './bands.ts';
import { batchesOf } from './batch-api.ts';
import { BenchPlanSection } from './bench-plan/bench-plan.tsx';
import { batchName, cuttings, dayWords, stageWords } from './words.ts';

const RENEW_MS = 20_000;

type Here = {
  readonly batches: readonly Batch[];
  /** by id of the batch: its own sheet, in the version it was given */
  readonly sheets: ReadonlyMap<string, Sheet>;
  readonly targets: Targets | null;
};

async function standing(placeId: string): Promise<Here> {
  const all = await batchesOf({ state: 'open', placeId });
  const here = all.filter((one) => one.placeId === placeId);
  const batches = here.toSorted((a, b) => Number(b.leading) - Number(a.leading));
  // what a batch wants otherwise matters only beside another
  if (batches.length < 2) return { batches, sheets: new Map(), targets: null };
  const params = { id: placeId };
  const [targets, ...sheets] = await Promise.all([
    call('getTargets', { params }),
    ...batches.map(({ sheetId: id, sheetVersion: version }) =>
      call('getSheet', { params: { id }, query: { version } }),
    ),
  ]);
  return { batches, sheets: new Map(sheets.map((sheet, i) => [batches[i]?.id ?? '', sheet])), targets };
}

/** The batches that stand at a place: which leads, and by how much the bands disagree with what the others want. */
export function BatchesHere({ place }: { place: PlaceSummary }) {
  const round = Math.floor(nowMs.value / RENEW_MS);
  const { value, problem } = useLoaded(`batches at ${place.id} ${round}`, () => standing(place.id));
  return (
    <section class="batches-here" data-testid="batches-here">
      <h2>Batches here</h2>
      {problem && <p class="problem">They cannot be listed now: {problem}</p>}
      {!value && !problem && <p class="quiet">Loading batches…</p>}
      {value?.batches.length === 0 && (
        <p class="quiet">No batch stands here: the bands are those that were set.</p>
      )}
      {value && value.batches.length > 0 && (
        <ul class="batches">
          {value.batches.map((batch) => (
            <Row key={batch.id} batch={batch} here={value} />
          ))}
        </ul>
      )}
      {value && <BenchPlanSection batches={value.batches} />}
      <IfMay route="addBatch">
        <a class="button" href={`#/start/${encodeURIComponent(place.id)}`}>
          Start a batch here
        </a>
      </IfMay>
    </section>
  );
}

function Row({ batch, here }: { batch: Batch; here: Here }) {
  return (
    <li class={`batch${batch.leading ? '' : ' closed'}`}>
      <h3>
        <a href={batchHref(batch.id)}>{batchName(batch)}</a>{' '}
        <span class="quiet">{dayWords(batch, reader.value)}</span>
      </h3>
      <p>
        {stageWords(batch, reader.value)}, {cuttings(batch.count)}.{' '}
        {batch.leading && 'It leads: its stage sets the bands here.'}
      </p>
      {!batch.leading && here.batches.length > 1 && <Wants batch={batch} here={here} />}
    </li>
  );
}

/** How far the bands that hold are from those its own sheet asks for. */
function Wants({ batch, here: { sheets, targets } }: { batch: Batch; here: Here }) {
  const wanted = sheets.get(batch.id)?.stages.find(({ id }) => id === batch.stage)?.targets;
  if (!wanted || !targets) return <p class="quiet">Its target sheet is no longer kept.</p>;
  const found = disagreements(wanted, targets, unit.value);
  if (found.length === 0) return <p>The bands here are what it wants too.</p>;
  return (
    <>
      <p>The bands here are not what it wants:</p>
      <ul class="disagreements">
        {found.map(({ words }) => (
          <li key={words}>{words}.</li>
        ))}
      </ul>
    </>
  );
}
