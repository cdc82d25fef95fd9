import { useRef, useState } from 'preact/hooks';
import type { DiaryEntry } from '../../shared/wire/cuttings/diary.ts';
import { call } from '../api.ts';
import type { Edits } from '../batches/undo.tsx';
import { TextField } from '../common/field.tsx';
import { may } from '../settings/access.ts';
import { reader, secondMs, timeZone } from '../state.ts';
import { photoAddress, thumbnailAddress } from './diary-api.ts';
import { entryOf, valuesOf, wallAgo } from './entry-form.ts';
import { keepSmallOf } from './small-picture.ts';
import { AGO, entryWords, photoWords } from './words.ts';

type EntryProps = { readonly entry: DiaryEntry; readonly edits: Edits };

/** What an entry says, with its photo, which opens large. */
export function EntryText({ entry, printed = false }: { entry: DiaryEntry; printed?: boolean }) {
  const { note, by, photo } = entry;
  return (
    <>
      <span>
        <b>{entryWords(entry, reader.value)}</b>
        {by !== null && <span class="quiet"> by {by}</span>}
        {note !== null && <span class="note">: {note}</span>}
      </span>
      {photo && (
        <a class="thumbnail" href={photoAddress(entry)} target="_blank" rel="noopener">
          <img
            src={thumbnailAddress(entry)}
            alt={photoWords(entry, reader.value)}
            loading={printed ? 'eager' : 'lazy'}
            onLoad={({ currentTarget }) => void keepSmallOf(entry, currentTarget)}
          />
        </a>
      )}
    </>
  );
}

/** One entry of the list, with the ways to change and to delete it. */
export function EntryItem({ entry, edits }: EntryProps) {
  const [open, setOpen] = useState(false);
  const opener = useRef<HTMLButtonElement>(null);
  const what = entryWords(entry, reader.value);
  const params = { id: entry.id };
  const remove = () =>
    edits.run(async () => {
      await call('deleteDiaryEntry', { params });
      return { words: `${what}: deleted.`, run: () => call('restoreDiaryEntry', { params }) };
    });
  const close = () => {
    setOpen(false);
    opener.current?.focus();
  };
  return (
    <li data-testid="entry">
      <EntryText entry={entry} />
      <span class="row">
        {may('changeDiaryEntry') && (
          <button
            ref={opener}
            type="button"
            aria-expanded={open}
            aria-label={`Change ${what}`}
            onClick={() => setOpen(!open)}
          >
            Change
          </button>
        )}
        {may('deleteDiaryEntry') && (
          <button
            type="button"
            disabled={edits.busy}
            aria-label={`Delete ${what}`}
            onClick={() => void remove()}
          >
            Delete
          </button>
        )}
      </span>
      {open && <ChangeForm entry={entry} edits={edits} close={close} />}
    </li>
  );
}

function ChangeForm({ entry, edits, close }: EntryProps & { close: () => void }) {
  const [before] = useState(() => valuesOf(entry, timeZone.value));
  const [values, setValues] = useState(before);
  const [errors, setErrors] = useState<Readonly<Record<string, string>>>({});
  const set = (change: Partial<typeof values>) => setValues((was) => ({ ...was, ...change }));
  const now = () => ({ nowMs: secondMs.value, timeZone: timeZone.value });
  const submit = async (event: Event) => {
    event.preventDefault();
    const read = entryOf(values, before, now());
    setErrors(read.errors ?? {});
    const { body } = read;
    if (!body) return;
    const params = { id: entry.id };
    const { at, note } = entry;
    const saved = await edits.run(async () => {
      const changed = await call('changeDiaryEntry', { params, body });
      const undo = () => call('changeDiaryEntry', { params, body: { at, note } });
      return { words: `Changed to: ${entryWords(changed, reader.value)}.`, run: undo };
    });
    if (saved) close();
  };
  return (
    <form class="entry-form" noValidate onSubmit={(event) => void submit(event)}>
      <span class="taps">
        {AGO.map(({ minutes, words }) => (
          <button key={minutes} type="button" onClick={() => set({ at: wallAgo(minutes, now()) })}>
            {words}
          </button>
        ))}
      </span>
      <TextField
        name="entry-at"
        label="when"
        type="datetime-local"
        value={values.at}
        unit=""
        error={errors['at']}
        onInput={(at) => set({ at })}
      />
      <TextField
        name="entry-note"
        label="note"
        value={values.note}
        unit=""
        required={false}
        error={errors['note']}
        onInput={(note) => set({ note })}
      />
      <span class="row">
        <button type="submit" class="first" disabled={edits.busy}>
          Save
        </button>
        <button type="button" onClick={close}>
          Cancel
        </button>
      </span>
    </form>
  );
}
