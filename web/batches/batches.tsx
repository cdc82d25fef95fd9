import { useState } from 'preact/hooks';
import type { Batch } from '../../shared/wire/cuttings/batches.ts';
import type { Preparation } from '../../shared/wire/cuttings/preparations.ts';
import { call } from '../api.ts';
import { useLoaded } from '../common/hooks.ts';
import { IfMay } from '../common/if-may.tsx';
import { batchHref, placeHref } from '../frame/route.ts';
import { may } from '../settings/access.ts';
import { known, nowMs, reader } from '../state.ts';
import { batchesOf } from './batch-api.ts';
import { ExchangeBatches } from './import.tsx';
import { dueSteps } from './plan/plan-words.ts';
import { DeletedPlans, DueSteps, Planned, plans } from './plan/planned.tsx';
import { type Edits, UndoLine, useEdits } from './undo.tsx';
import { batchName, cuttings, dayOf, dayWords, dueWords, stageWords, strikeWords } from './words.ts';

const RENEW_MS = 20_000;
const MOST_COMPARED = 8;

async function listed() {
  const [planned, open, closed, deleted] = await Promise.all([
    plans(),
    batchesOf({ state: 'open' }),
    batchesOf({ state: 'closed' }),
    batchesOf({ state: 'deleted' }),
  ]);
  return { planned, open, closed, deleted };
}

/** Open and finished batches, what is due of them, and the way to a new one. */
export function BatchesPage() {
  const round = Math.floor(nowMs.value / RENEW_MS);
  const { value, problem, loading, reload } = useLoaded(`batches ${round}`, listed);
  const [chosen, setChosen] = useState<readonly string[]>([]);
  const edits = useEdits(reload);
  const choose = (id: string) =>
    setChosen((before) => (before.includes(id) ? before.filter((one) => one !== id) : [...before, id]));
  const list = { chosen, choose };
  return (
    <div class="plain-page batches-page broad">
      <h1>Batches</h1>
      <IfMay route="addBatch">
        <p>
          <a class="button" href="#/start">
            Start a batch
          </a>
        </p>
      </IfMay>
      <IfMay route="addPreparation">
        <p>
          <a href="#/plan">Plan a batch</a>
        </p>
      </IfMay>
      {problem && (
        <p class="problem" role="status">
          The batches cannot be listed: {problem}
        </p>
      )}
      {!value && loading && <p class="waiting">Loading batches…</p>}
      <UndoLine edits={edits} />
      {value && (
        <>
          <DueNow open={value.open} planned={value.planned.open} />
          <Planned open={value.planned.open} />
          <section data-testid="open-batches">
            <h2>Open</h2>
            {value.open.length === 0 && <NoBatch />}
            <BatchList batches={value.open} {...list} />
          </section>
          <CompareLink batches={[...value.open, ...value.closed]} chosen={chosen} />
          {value.closed.length > 0 && (
            <section data-testid="closed-batches">
              <h2>Finished</h2>
              <BatchList batches={value.closed} {...list} />
            </section>
          )}
          <DeletedPlans deleted={value.planned.deleted} edits={edits} />
          <ExchangeBatches changed={reload} />
          {value.deleted.length > 0 && may('restoreBatch') && (
            <Deleted batches={value.deleted} edits={edits} />
          )}
        </>
      )}
    </div>
  );
}

function NoBatch() {
  return (
    <p class="say">
      No batch is open. A batch is cuttings of one crop stuck together: its stage sets the bands of its place,
      and its record shows what it went through.
    </p>
  );
}

/** What is due, the latest first. */
type DueProps = { readonly open: readonly Batch[]; readonly planned: readonly Preparation[] };

function DueNow({ open, planned }: DueProps) {
  const due = open
    .filter((batch) => batch.due !== null && batch.due.state !== 'ahead')
    .sort((a, b) => Date.parse(a.due?.to ?? '') - Date.parse(b.due?.to ?? ''));
  if (due.length + dueSteps(planned).length === 0) return null;
  return (
    <section class="due-now" data-testid="due-now">
      <h2>Due today</h2>
      <ul>
        <DueSteps open={planned} />
        {due.map((batch) => (
          <li key={batch.id}>
            <a href={batchHref(batch.id)}>{batchName(batch)}</a>: {dueWords(batch, reader.value)}.
          </li>
        ))}
      </ul>
    </section>
  );
}

type ListProps = {
  readonly batches: readonly Batch[];
  readonly chosen: readonly string[];
  readonly choose: (id: string) => void;
};

function BatchList({ batches, chosen, choose }: ListProps) {
  return (
    <ul class="batches">
      {batches.map((batch) => (
        <li key={batch.id} class={`batch ${batch.state}`} data-testid={`batch-${batch.id}`}>
          <h3>
            <a href={batchHref(batch.id)}>{batchName(batch)}</a>{' '}
            <span class="quiet">{dayWords(batch, reader.value)}</span>
          </h3>
          <p>
            {stageWords(batch, reader.value)}. <Standing batch={batch} />
          </p>
          <p>{batch.strike ? `${strikeWords(batch.strike)}.` : 'Not counted yet.'}</p>
          {batch.state === 'open' && batch.due?.state === 'ahead' && (
            <p class="quiet">{dueWords(batch, reader.value)}.</p>
          )}
          <label class="choice">
            <input
              type="checkbox"
              aria-label={`Compare ${batchName(batch)}, stuck ${dayOf(batch.stuckAt, reader.value)}`}
              checked={chosen.includes(batch.id)}
              onChange={() => choose(batch.id)}
            />
            compare
          </label>
        </li>
      ))}
    </ul>
  );
}

/** How many, where, and whether it leads there. */
function Standing({ batch }: { batch: Batch }) {
  const place = known.value.places.find(({ id }) => id === batch.placeId);
  return (
    <>
      {cuttings(batch.count)}{' '}
      {place ? (
        <>
          at <a href={placeHref(place.id)}>{place.name}</a>
        </>
      ) : (
        'at a place that is no longer watched'
      )}
      {batch.leading && ', leads there'}.
    </>
  );
}

function CompareLink({ batches, chosen }: { batches: readonly Batch[]; chosen: readonly string[] }) {
  if (chosen.length < 2) return null;
  const led = batches.filter(({ id, leading }) => chosen.includes(id) && leading);
  const benches = [...new Set(led.flatMap(({ placeId }) => placeId ?? []))];
  return (
    <p role="status">
      {chosen.length > MOST_COMPARED ? (
        `At most ${MOST_COMPARED} can be compared at once.`
      ) : (
        <a class="button" href={`#/compare/${chosen.join(',')}`}>
          Compare {chosen.length}
        </a>
      )}{' '}
      {benches.length >= 2 && benches.length <= MOST_COMPARED && (
        <a class="button" href={`#/compare/benches=${encodeURIComponent(benches.join(','))}`}>
          Compare their benches
        </a>
      )}
    </p>
  );
}

function Deleted({ batches, edits }: { batches: readonly Batch[]; edits: Edits }) {
  const restore = ({ id }: Batch) =>
    edits.run(async () => {
      await call('restoreBatch', { params: { id } });
      return null;
    });
  return (
    <details data-testid="deleted-batches">
      <summary>Deleted: {batches.length}</summary>
      <ul class="batches">
        {batches.map((batch) => (
          <li key={batch.id} class="batch closed">
            <p class="row">
              {batchName(batch)}, stuck {dayOf(batch.stuckAt, reader.value)}
              <button
                type="button"
                disabled={edits.busy}
                aria-label={`Restore ${batchName(batch)}`}
                onClick={() => void restore(batch)}
              >
                Restore
              </button>
            </p>
          </li>
        ))}
      </ul>
    </details>
  );
}
