import { useState } from 'preact/hooks';
import type { DiaryEntry } from '../../shared/wire/cuttings/diary.ts';
import { call } from '../api.ts';
import type { Edits } from '../batches/undo.tsx';
import { useLoaded } from '../common/hooks.ts';
import { reader } from '../state.ts';
import { type About, diaryRound, entriesOf } from './diary-api.ts';
import { EntryText } from './entry.tsx';
import { entryWords, WORDS } from './words.ts';

const MOST_SHOWN = 50;

type DeletedProps = { readonly about: About; readonly edits: Edits };

/** Entries that were deleted of late, asked for once somebody looks. */
export function DeletedEntries({ about, edits }: DeletedProps) {
  const [open, setOpen] = useState(false);
  return (
    <details onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>Deleted entries</summary>
      {open && <Deleted about={about} edits={edits} />}
    </details>
  );
}

function Deleted({ about, edits }: DeletedProps) {
  const key = `deleted ${about.placeId} ${about.batchId} ${diaryRound.value}`;
  const query = { limit: MOST_SHOWN, state: 'deleted' as const };
  const { value, problem } = useLoaded(key, () => entriesOf(about, query));
  const restore = (entry: DiaryEntry) =>
    edits.run(async () => {
      const params = { id: entry.id };
      await call('restoreDiaryEntry', { params });
      const words = `${entryWords(entry, reader.value)}: restored.`;
      return { words, run: () => call('deleteDiaryEntry', { params }) };
    });
  return (
    <>
      <p class="quiet">{WORDS.deletedNote}</p>
      {problem && <p class="problem">They cannot be loaded: {problem}</p>}
      {value?.entries.length === 0 && <p>{WORDS.noneDeleted}</p>}
      <ul class="entries">
        {(value?.entries ?? []).map((entry) => (
          <li key={entry.id}>
            <EntryText entry={{ ...entry, photo: false }} />
            <button
              type="button"
              disabled={edits.busy}
              aria-label={`Restore ${entryWords(entry, reader.value)}`}
              onClick={() => void restore(entry)}
            >
              Restore
            </button>
          </li>
        ))}
      </ul>
    </>
  );
}
