import { useState } from 'preact/hooks';
import type { DiaryEntry } from '../../shared/wire/cuttings/diary.ts';
import { call, upload } from '../api.ts';
import { type Edits, UndoLine, useEdits } from '../batches/undo.tsx';
import { useLoaded } from '../common/hooks.ts';
import { IfMay } from '../common/if-may.tsx';
import { nowMs, reader } from '../state.ts';
import { DeletedEntries } from './deleted.tsx';
import { type About, diaryRound, entriesOf } from './diary-api.ts';
import { EntryItem } from './entry.tsx';
import { NoteForm } from './note-form.tsx';
import { keepSmallOfFile } from './small-picture.ts';
import { entryWords, KIND_WORDS, TAPPED, WORDS } from './words.ts';

const RENEW_MS = 20_000;
const FIRST_SHOWN = 12;
const MORE_SHOWN = 50;

/** The diary of a place, or of a batch: one tap writes down what was done, and what is written down is listed. */
export function DiarySection({ about }: { about: About }) {
  const [shown, setShown] = useState(FIRST_SHOWN);
  const round = Math.floor(nowMs.value / RENEW_MS);
  const key = `entries ${about.placeId} ${about.batchId} ${shown} ${round} ${diaryRound.value}`;
  const { value, problem, loading } = useLoaded(key, () => entriesOf(about, { limit: shown }));
  const edits = useEdits(() => {
    diaryRound.value += 1;
  });
  return (
    <section class="diary" data-testid="diary">
      <h2>Diary</h2>
      <IfMay route="addDiaryEntry">
        <Buttons about={about} edits={edits} />
      </IfMay>
      <UndoLine edits={edits} />
      {problem && <p class="problem">The diary cannot be loaded: {problem}</p>}
      {!value && loading && <p class="waiting">Loading the diary…</p>}
      {value?.entries.length === 0 && <p class="quiet">{WORDS.none}</p>}
      {value && value.entries.length > 0 && (
        <ul class="entries">
          {value.entries.map((entry) => (
            <EntryItem key={entry.id} entry={entry} edits={edits} />
          ))}
        </ul>
      )}
      {value?.more && (
        <button type="button" onClick={() => setShown(shown + MORE_SHOWN)}>
          Show earlier entries
        </button>
      )}
      <IfMay route="restoreDiaryEntry">
        <DeletedEntries about={about} edits={edits} />
      </IfMay>
    </section>
  );
}

type ButtonsProps = { readonly about: About; readonly edits: Edits };

/** What was just written down, with the way to take it back. */
function written(entry: DiaryEntry) {
  return {
    words: `${entryWords(entry, reader.value)}.`,
    run: () => call('deleteDiaryEntry', { params: { id: entry.id } }),
  };
}

function Buttons({ about, edits }: ButtonsProps) {
  const [noting, setNoting] = useState(false);
  // none is disabled meanwhile: who works by keyboard would lose their place
  const tap = async (kind: (typeof TAPPED)[number]) => {
    if (edits.busy) return;
    await edits.run(async () => written(await call('addDiaryEntry', { body: { ...about, kind } })));
  };
  const note = async (text: string) => {
    const body = { ...about, kind: 'note' as const, note: text };
    if (await edits.run(async () => written(await call('addDiaryEntry', { body })))) setNoting(false);
  };
  return (
    <>
      <p class="quiet">{WORDS.lead}</p>
      <div class="taps">
        {TAPPED.map((kind) => (
          <button key={kind} type="button" aria-disabled={edits.busy} onClick={() => void tap(kind)}>
            {KIND_WORDS[kind]}
          </button>
        ))}
        <button type="button" aria-expanded={noting} disabled={edits.busy} onClick={() => setNoting(!noting)}>
          {KIND_WORDS.note}
        </button>
        <PhotoButton about={about} edits={edits} />
      </div>
      <p class="quiet">
        {WORDS.treated} Photos: {WORDS.photoNote}
      </p>
      {noting && <NoteForm busy={edits.busy} save={note} />}
    </>
  );
}

/** The input itself takes the focus; what is seen is its label. */
function PhotoButton({ about, edits }: ButtonsProps) {
  const send = async (input: HTMLInputElement) => {
    const [file] = input.files ?? [];
    if (!file) return;
    await edits.run(async () => {
      const entry = await upload('addDiaryPhoto', { query: { ...about } }, file);
      await keepSmallOfFile(entry, file);
      return written(entry);
    });
    input.value = '';
  };
  return (
    <label class={`photo-button${edits.busy ? ' busy' : ''}`}>
      {KIND_WORDS.photo}
      <input
        type="file"
        name="photo"
        accept="image/jpeg,image/png"
        disabled={edits.busy}
        onChange={(event) => void send(event.currentTarget)}
      />
    </label>
  );
}
