import { call } from '../../api.ts';
import { useLoaded } from '../../common/hooks.ts';
import { IfMay } from '../../common/if-may.tsx';
import { DiarySection } from '../../diary/diary.tsx';
import { placeHref } from '../../frame/route.ts';
import { known, nowMs, reader, say } from '../../state.ts';
import { HoldingSection } from '../care/holding.tsx';
import { WeaningSection } from '../care/weaning.tsx';
import { UndoLine, useEdits } from '../undo.tsx';
import { batchName, cuttings, dayOf, dayWords, dueWords, moment, stageWords } from '../words.ts';
import { CountsSection } from './counts.tsx';
import { DetailsSection } from './details-form.tsx';
import { BatchExposuresSection } from './exposures.tsx';
import type { PartProps } from './part.ts';
import { RootingSection } from './rooting.tsx';
import { SheetSection } from './sheet-given.tsx';
import { StagesSection } from './stages.tsx';
import { StaysSection } from './stays.tsx';

const RENEW_MS = 20_000;

/** One batch: where it is in its life, what is due, its counts, and what it went through. */
export function BatchPage({ batchId }: { batchId: string }) {
  const round = Math.floor(nowMs.value / RENEW_MS);
  const { value, problem, loading, reload } = useLoaded(`batch ${batchId} ${round}`, () =>
    call('getBatch', { params: { id: batchId } }),
  );
  const edits = useEdits(reload);
  return (
    <div class="plain-page batch-page">
      {!value && <h1 class="unseen">Batch</h1>}
      {problem && (
        <p class="problem" role="status">
          The batch cannot be loaded: {problem} <a href="#/batches">Go to the batches.</a>
        </p>
      )}
      {!value && loading && <p class="waiting">Loading the batch…</p>}
      {value && (
        <>
          <Head batch={value} edits={edits} />
          <UndoLine edits={edits} />
          <CountsSection batch={value} edits={edits} />
          <RootingSection batch={value} />
          <StagesSection batch={value} edits={edits} />
          <SheetSection batch={value} edits={edits} />
          <WeaningSection batch={value} edits={edits} />
          <BatchExposuresSection batch={value} />
          <DiarySection about={{ batchId: value.id }} />
          <StaysSection batch={value} edits={edits} />
          <HoldingSection batch={value} edits={edits} />
          <DetailsSection batch={value} edits={edits} />
          <Ends batch={value} edits={edits} />
        </>
      )}
    </div>
  );
}

function Head({ batch, edits }: PartProps) {
  const due = dueWords(batch, reader.value);
  return (
    <header class="batch-head" data-testid="batch-head">
      <h1>
        {batchName(batch)} <span class="quiet">{dayWords(batch, reader.value)}</span>
      </h1>
      <p class="stage-now">{stageWords(batch, reader.value)}.</p>
      <p>
        {cuttings(batch.count)}, stuck {moment(batch.stuckAt, reader.value)}.{' '}
        <Leads batch={batch} edits={edits} />
      </p>
      {due && (
        <p class={batch.due?.state === 'ahead' ? '' : 'due'} data-testid="due">
          {due}.
        </p>
      )}
      <p>
        <a href={`#/report/${batch.id}`}>What happened, to print</a>
      </p>
    </header>
  );
}

/** Whether the bands of its place follow it, and the way to make them. */
function Leads({ batch, edits }: PartProps) {
  const place = known.value.places.find(({ id }) => id === batch.placeId);
  if (!place) return <>Its place is no longer watched.</>;
  const link = <a href={placeHref(place.id)}>{place.name}</a>;
  if (batch.state === 'closed') return <>It stood last at {link}.</>;
  if (batch.leading) return <>It stands at {link} and leads: its stage sets the bands there.</>;
  const lead = () =>
    edits.run(async () => {
      const params = { id: place.id };
      const before = await call('getLeading', { params });
      await call('setLeading', { params, body: { batchId: batch.id } });
      return {
        words: `${batchName(batch)} leads at ${place.name}.`,
        run: () => call('setLeading', { params, body: { batchId: before.batchId } }),
      };
    });
  return (
    <>
      It stands at {link}; another batch sets the bands there.{' '}
      <IfMay route="setLeading">
        <button type="button" disabled={edits.busy} onClick={() => void lead()}>
          Let it lead
        </button>
      </IfMay>
    </>
  );
}

/** Closing, opening again, deleting. */
function Ends({ batch, edits }: PartProps) {
  const params = { id: batch.id };
  const state = (to: 'open' | 'closed') => call('changeBatch', { params, body: { state: to } });
  const close = () =>
    edits.run(async () => {
      await state('closed');
      return { words: `${batchName(batch)} closed.`, run: () => state('open') };
    });
  const open = () =>
    edits.run(async () => {
      const closedAt = batch.closedAt ?? new Date(nowMs.value).toISOString();
      await state('open');
      return {
        words: `${batchName(batch)} is open again.`,
        run: () => call('changeBatch', { params, body: { state: 'closed', closedAt } }),
      };
    });
  const remove = () =>
    edits.run(async () => {
      await call('deleteBatch', { params });
      say(`${batchName(batch)} deleted. It can be restored under “Deleted”.`);
      location.hash = '#/batches';
      return null;
    });
  return (
    <section>
      <h2>Close or delete</h2>
      <p class="quiet">
        A closed batch keeps its record and no longer leads. A deleted one can be restored from the page
        Batches.
      </p>
      <span class="row">
        <IfMay route="changeBatch">
          {batch.state === 'open' ? (
            <button type="button" disabled={edits.busy} onClick={() => void close()}>
              Close
            </button>
          ) : (
            <button type="button" disabled={edits.busy} onClick={() => void open()}>
              Open again
            </button>
          )}
        </IfMay>
        <IfMay route="deleteBatch">
          <button
            type="button"
            disabled={edits.busy}
            aria-label={`Delete ${batchName(batch)}, stuck ${dayOf(batch.stuckAt, reader.value)}`}
            onClick={() => void remove()}
          >
            Delete
          </button>
        </IfMay>
      </span>
    </section>
  );
}
