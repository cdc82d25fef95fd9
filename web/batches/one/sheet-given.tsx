import { useState } from 'preact/hooks';
import type { Batch } from '../../../shared/wire/cuttings/batches.ts';
import { call } from '../../api.ts';
import { ChoiceField } from '../../common/field.tsx';
import { useLoaded } from '../../common/hooks.ts';
import { IfMay } from '../../common/if-may.tsx';
import { versionWords } from '../../sheets/sheet-words.ts';
import { nowMs } from '../../state.ts';
import { allSheets } from '../batch-api.ts';
import type { PartProps } from './part.ts';

type Given = Pick<Batch, 'sheetId' | 'sheetVersion'>;

/** The sheet a batch has, in the version it was given. */
function useSheet({ sheetId: id, sheetVersion: version }: Given) {
  return useLoaded(`sheet ${id} ${version}`, () => call('getSheet', { params: { id }, query: { version } }));
}

/** The target sheet of a batch by its name. */
export function SheetLink({ batch }: { readonly batch: Given }) {
  const { value, problem } = useSheet(batch);
  if (problem) return <>Its target sheet is no longer kept.</>;
  if (!value) return null;
  return (
    <>
      Target sheet: <a href={`#/sheets/${encodeURIComponent(value.id)}`}>{value.name}</a> (
      {versionWords(value)}).
    </>
  );
}

/** The sheet a batch follows, and the way to give it another, or a newer version of its own. */
export function SheetSection({ batch, edits }: PartProps) {
  return (
    <section data-testid="sheet-given">
      <h2>Target sheet</h2>
      <p>
        <SheetLink batch={batch} /> The batch keeps that version until it is given another.
      </p>
      {batch.state === 'open' && (
        <IfMay route="changeBatch">
          <details>
            <summary>Give it another sheet</summary>
            <SheetForm batch={batch} edits={edits} />
          </details>
        </IfMay>
      )}
    </section>
  );
}

function SheetForm({ batch, edits }: PartProps) {
  const { value: sheets, problem } = useLoaded('all sheets', allSheets);
  const [chosen, setChosen] = useState(batch.sheetId);
  if (problem) return <p class="problem">The target sheets cannot be listed: {problem}</p>;
  if (!sheets) return <p class="waiting">Loading target sheets…</p>;
  const isSame = sheets.some(({ id, version }) => {
    return id === chosen && id === batch.sheetId && version === batch.sheetVersion;
  });
  const give = async (event: Event) => {
    event.preventDefault();
    const params = { id: batch.id };
    const from = new Date(nowMs.value).toISOString();
    const before = batch.sheetId;
    // an older version than the newest is not given again
    const isNewest = sheets.some(({ id, version }) => id === before && version === batch.sheetVersion);
    await edits.run(async () => {
      await call('changeBatch', { params, body: { sheetId: chosen, sheetFrom: from } });
      const name = sheets.find(({ id }) => id === chosen)?.name ?? chosen;
      const undo = () => call('changeBatch', { params, body: { sheetId: before, sheetFrom: from } });
      return isNewest ? { words: `It follows ${name} from now on.`, run: undo } : null;
    });
  };
  return (
    <form class="batch-form" noValidate onSubmit={(event) => void give(event)}>
      <ChoiceField
        name="batch-sheet"
        label="target sheet"
        value={chosen}
        choices={sheets.map(({ id, name, version, own }) => ({
          value: id,
          words: own ? `${name}, version ${version}` : name,
        }))}
        onChange={setChosen}
      />
      <p class="quiet">Its bands hold from now on. What was counted before stays as it was.</p>
      <button type="submit" class="first" disabled={edits.busy || isSame}>
        Save
      </button>
    </form>
  );
}
